"""What a terminal can show: text with roles, pictures as characters, colours, its shape."""
