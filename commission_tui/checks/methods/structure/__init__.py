"""Methods for what hangs: level, flatness, fixings, load cells.

Only `checks.methods` imports them.
"""
