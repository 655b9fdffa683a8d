"""Photographs as measurements: tiles, light, seams, LEDs, bands, stepped lines, and an evening's folder.

Knows the wall, nothing of checks or of the logbook. The libraries for pictures come with the extra
``[photo]`` and are imported only when used.
"""
