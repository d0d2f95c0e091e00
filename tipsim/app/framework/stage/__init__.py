"""The stage: two needles side by side in slow motion, and the still pictures below it."""
