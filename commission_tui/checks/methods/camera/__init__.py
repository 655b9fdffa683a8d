"""Methods for the wall as cameras see it.

Only `checks.methods` imports them.
"""
