"""Mains current, conductors, phases, leakage and heat."""
