"""From source to receiving card: timings, EDID, links, rasters, fibre.

Anything above may import each subject.
"""
