"""How bright, how even, how graded: photometry, exposure, grey scale, meters and dimming.

Anything above may import each subject.
"""
