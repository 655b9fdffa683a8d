"""What hangs: size and squareness, loads on points, and water in the air that settles on it.

Anything above may import each module without an underscore; it warns and never approves.
"""
