"""Where a field is read, which places lie beside each other, and when a check applies at all.

Anything above may import each of them.
"""
