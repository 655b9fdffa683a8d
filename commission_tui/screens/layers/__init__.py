"""The wall drawn with characters: geometry, cell styles, and what each layer shows."""
