"""One cabinet close up, down to the pixel."""
