"""What entries of the processor explain: causes of a port or of a whole plan, and the search for several at once."""
