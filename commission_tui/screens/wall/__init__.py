"""Wall: every cabinet to scale, in layers."""
