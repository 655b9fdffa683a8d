"""From source to receiving card: timings, EDID, links, rasters, fibre."""
