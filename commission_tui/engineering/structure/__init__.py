"""What hangs: size and squareness, loads on points, and water in the air that settles on it.

It warns and never approves.
"""
