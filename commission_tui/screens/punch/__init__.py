"""The punch list."""
