"""The record in open formats: JSON with its schema, CSV, HTML, a spreadsheet."""
