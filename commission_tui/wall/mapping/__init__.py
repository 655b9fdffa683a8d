"""Mapping diagnosis: from what every cabinet shows to what was plugged or configured wrong."""
