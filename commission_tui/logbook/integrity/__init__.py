"""Two logbooks brought together, and the trail behind a figure.

Screens, commands and the document import them.
"""
