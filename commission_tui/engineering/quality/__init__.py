"""How many pixels may be at fault, and how many spares last.

Anything above may import `pixel_faults` and `spares`.
"""
