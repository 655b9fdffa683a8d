"""A wall file begun and added to: from what a person types of the design to its text."""
