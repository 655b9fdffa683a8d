"""A written document verified."""
