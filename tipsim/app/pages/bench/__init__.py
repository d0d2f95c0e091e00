"""The page that compares two needles."""
