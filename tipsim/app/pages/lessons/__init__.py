"""The overview of the lessons, and their pages for paper."""
