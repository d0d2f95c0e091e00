"""Measurements from one's own bench: read, fitted, and laid beside the model."""
