"""Photographs as measurements: which tile every cabinet shows, and what light it gives.

Knows the wall, nothing of checks or of the logbook. The libraries for pictures come with the extra
``[photo]`` and are imported only when used.
"""
