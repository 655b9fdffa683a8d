"""The wall as designed; it knows nothing of checks."""
