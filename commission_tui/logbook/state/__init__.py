"""The state of a job as a pure fold of its entries, one entry at a time."""
