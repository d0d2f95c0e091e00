"""The page where a needle is drawn or typed, checked at once, saved, and used as A or B."""
