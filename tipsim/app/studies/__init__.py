"""The page of bench studies."""
