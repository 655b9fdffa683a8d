"""A video of a stepped line: which way the line runs through every module."""
