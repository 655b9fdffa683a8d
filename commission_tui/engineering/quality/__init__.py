"""How many pixels may be at fault, and how many spares last."""
