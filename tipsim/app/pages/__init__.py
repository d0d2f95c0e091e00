"""The pages, one folder each; none imports another."""
