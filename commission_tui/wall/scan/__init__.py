"""Cabinets found by a camera that watched them light up one after another, and the table of it.

The command line imports from it.
"""
