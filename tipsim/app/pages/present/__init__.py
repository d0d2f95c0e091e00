"""The front page: what this is, and a way in for each role."""
