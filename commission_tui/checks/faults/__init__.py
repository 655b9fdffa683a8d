"""The catalogue of faults, how grave each is where it is, and whether it blocks acceptance.

Anything above may import each of them; the kinds themselves are in `faults.toml`.
"""
