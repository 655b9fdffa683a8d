"""The catalogue of faults, how grave each is where it is, and whether it blocks acceptance.

The kinds themselves are in `faults.toml`.
"""
