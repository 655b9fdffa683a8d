"""Commands before and beside a job: wall files, patterns, checklists, single computations."""
