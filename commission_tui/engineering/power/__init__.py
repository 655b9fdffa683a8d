"""Mains current, conductors, phases, leakage and heat.

Anything above may import `power`, which has the functions of the parts beside it.
"""
