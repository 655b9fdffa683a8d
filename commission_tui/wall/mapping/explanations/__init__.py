"""From causes to what a person reads and does: drafts weighed against each other, moves, the other telling of the same."""
