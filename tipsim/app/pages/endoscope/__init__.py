"""The page of the endoscope bench."""
