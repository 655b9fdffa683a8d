"""Two logbooks brought together, and the trail behind a figure."""
