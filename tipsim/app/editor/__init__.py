"""The page where a needle is drawn or typed, checked at once, saved, and put on the bench."""
