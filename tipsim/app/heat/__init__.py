"""The page of heat."""
