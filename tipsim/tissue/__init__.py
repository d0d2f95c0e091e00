"""What motion and heat do to the tissue: iris, wound, lens."""
