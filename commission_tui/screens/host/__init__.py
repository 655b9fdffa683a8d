"""The app as its screens know it, and how it takes keys: in the order in which they came."""
