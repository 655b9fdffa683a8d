"""How bright, how even, how graded: photometry, exposure, grey scale, meters and dimming."""
