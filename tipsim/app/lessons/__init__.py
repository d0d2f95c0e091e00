"""Lessons on the screen: overview, player, handout, sheet for the wet lab."""
