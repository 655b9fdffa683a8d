"""A telephone's folder after the evening: how its clock goes, and what each picture belongs to."""
