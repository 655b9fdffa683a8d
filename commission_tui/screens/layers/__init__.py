"""The wall drawn with characters: geometry, cell styles, and what each layer shows.

Every screen may import each of them.
"""
