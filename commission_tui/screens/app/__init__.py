"""The app, its help, and how it starts.

The command line imports `app`; no screen does.
"""
