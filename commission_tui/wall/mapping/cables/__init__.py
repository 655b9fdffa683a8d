"""What plugs explain: the cabling read off the picture, what the dark says of it, and the names of its faults."""
