"""Pure computation on numbers and arrays: one file a subject, units in the names."""
