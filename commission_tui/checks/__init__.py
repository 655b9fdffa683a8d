"""Checks as data and the methods that judge them; it knows nothing of where readings are kept."""
