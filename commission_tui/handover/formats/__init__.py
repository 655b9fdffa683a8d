"""The record in open formats: JSON with its schema, CSV, HTML, a spreadsheet.

The rooms of the handover import them.
"""
