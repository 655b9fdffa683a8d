"""Keys, and signing a document with them.

Screens and commands import `keys`, `document_signing` and `signing_log`.
"""
