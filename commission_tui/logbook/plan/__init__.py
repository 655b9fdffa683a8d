"""What to do next in the time there is, and what changed between two visits.

Screens, commands and the document import them.
"""
