"""Visits, and two of them compared."""
