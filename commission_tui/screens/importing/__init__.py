"""A meter's table read in."""
