"""Methods for the design on paper, before anything hangs.

Only `checks.methods` imports them.
"""
