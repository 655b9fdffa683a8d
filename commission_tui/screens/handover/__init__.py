"""Handover: what is missing, signatures, export."""
