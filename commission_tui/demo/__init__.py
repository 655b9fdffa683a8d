"""The invented job: its wall, its story, and the walk that tells it."""
