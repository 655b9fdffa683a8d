"""A meter's table or a list of parts, from a file to entries, whole or not at all."""
