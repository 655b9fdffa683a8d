"""The app, its help, and how it starts."""
