"""Walk: one check at a time, one field at a time."""
