"""What a terminal can show: text with roles, pictures as characters, colours, its shape.

Every screen may import each of them.
"""
