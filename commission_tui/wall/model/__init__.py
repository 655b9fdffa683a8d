"""The wall file as written, the wall that it describes, and the grammar of places.

Anything above may import each of them.
"""
