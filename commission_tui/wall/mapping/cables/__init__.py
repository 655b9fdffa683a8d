"""What plugs explain: the cabling read off the picture, what the dark says of it, and the names of its faults.

The drafts of explanations and the next look import from it.
"""
