"""A running case with a foot on the pedal: faults, what a team does, what that cost or saved."""
