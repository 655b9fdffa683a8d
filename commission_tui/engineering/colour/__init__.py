"""Chromaticity, colour temperature, colour differences and gamut.

Anything above may import `colorimetry`.
"""
