"""From causes to what a person reads: drafts weighed against each other, how certain each is, the other telling of it."""
