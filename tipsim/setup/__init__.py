"""What lies on the bench: needle, sleeve, drive, fluid, joined to one frozen scenario."""
