"""What every single fault would show, and with that the look that tells most, or the few that prove a repair.

The drafts of explanations import from it.
"""
