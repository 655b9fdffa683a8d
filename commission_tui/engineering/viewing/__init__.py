"""What eyes, ears and cameras make of the wall: acuity, moiré, shutters, flashes, motion, sync, noise."""
