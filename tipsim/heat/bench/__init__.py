"""The heat model held against published bench rows."""
