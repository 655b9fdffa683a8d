"""What to do next in the time there is, and what changed between two visits."""
