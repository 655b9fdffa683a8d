"""What follows from a wall file: contradictions, loads, and what goes dark when one thing fails.

Anything above may import each of them; it warns and never approves.
"""
