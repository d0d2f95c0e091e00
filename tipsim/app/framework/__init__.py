"""What every page of the screens shares: see README.md beside this file."""
