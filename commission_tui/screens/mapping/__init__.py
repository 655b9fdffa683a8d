"""The wall's layer in which the mapping is logged, explained and put right."""
