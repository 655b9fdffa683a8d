"""The kinds of entry, how one is made, named, numbered and chained to the one before.

Anything above may import each of them.
"""
