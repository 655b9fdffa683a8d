"""What one reader needs on a side: the operator's card, the content specification.

The rooms of the handover import them.
"""
