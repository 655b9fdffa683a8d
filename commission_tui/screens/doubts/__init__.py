"""What a change left no longer good."""
