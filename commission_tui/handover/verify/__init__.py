"""What a written document is, who signed it, and whether record and logbook agree; reading it back.

Screens and commands import `document_check`, `document_import` and `verification`.
"""
