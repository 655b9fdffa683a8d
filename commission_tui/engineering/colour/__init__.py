"""Chromaticity, colour temperature, colour differences and gamut."""
