"""The flow page: bottle, chamber, needle and pump through time."""
