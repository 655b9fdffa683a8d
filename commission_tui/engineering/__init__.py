"""Pure computation on numbers and arrays, units in the names.

Each subject is one module; what begins with an underscore is a part of a subject beside it.
"""
