"""What hangs: size and squareness, loads on points, and water in the air that settles on it.

Anything above may import `geometry`, `suspension` and `humidity`; it warns and never approves.
"""
