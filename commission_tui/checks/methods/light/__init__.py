"""Methods for brightness, colour, seams and pixels.

Other stages may import `chromaticity_limits` and `pixel_counts`.
"""
