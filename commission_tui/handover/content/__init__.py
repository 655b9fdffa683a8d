"""What the document says, part by part; `document` beside it puts the parts together.

The rooms of the handover import them.
"""
