"""What a camera's shutter and its grid of photosites make of the wall: bands, their drift, and moiré."""
