"""Chromaticity, colour temperature, colour differences and gamut.

Anything above may import `colorimetry`, which has the functions of the parts beside it.
"""
