"""The plain types: a check as defined, readings, limits, outcomes, settings, and a typed value.

Anything above may import each of them.
"""
