"""What one reader needs on a side: client, operator, electrician, rigger, makers of pictures.

The rooms of the handover import them.
"""
