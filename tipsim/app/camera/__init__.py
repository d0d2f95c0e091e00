"""The layout of packets of the pages that are not on the page framework yet."""
