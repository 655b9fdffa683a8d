"""Methods for the supply and the circuits.

Only `checks.methods` imports them.
"""
