"""The app as its screens know it, and how it takes keys: in the order in which they came.

Every screen may import `app_protocol`; the app is built on both.
"""
