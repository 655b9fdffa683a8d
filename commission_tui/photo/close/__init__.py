"""The wall seen near enough to tell its LEDs apart: pixels, lines and seams at fault."""
