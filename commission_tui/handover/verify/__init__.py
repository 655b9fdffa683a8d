"""What a written document is, who signed it, and whether record and logbook agree; reading it back."""
