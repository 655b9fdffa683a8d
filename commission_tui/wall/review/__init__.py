"""What follows from a wall file: contradictions, loads, and what goes dark when one thing fails.

It warns and never approves.
"""
