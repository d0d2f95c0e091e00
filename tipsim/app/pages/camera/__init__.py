"""The page of the camera bench."""
