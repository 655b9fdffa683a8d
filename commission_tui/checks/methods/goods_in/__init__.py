"""Methods for goods as they arrive.

Only `checks.methods` imports them.
"""
