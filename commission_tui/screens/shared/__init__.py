"""What screens of a job have in common: the base screen, forms, work in the background."""
