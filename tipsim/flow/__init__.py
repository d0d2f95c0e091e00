"""Where the fluid goes: bottle, lines, sleeve, chamber, bore, pump; steady and after a break."""
