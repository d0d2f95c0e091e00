"""What a thermal camera shows of both needles, and how far to believe it."""
