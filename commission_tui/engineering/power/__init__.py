"""Mains current, conductors, phases, leakage and heat.

Anything above may import each part.
"""
