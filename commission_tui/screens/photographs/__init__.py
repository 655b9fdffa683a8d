"""Photographs that arrive in a folder, read as they come; what was read is confirmed in one list."""
