"""Methods for what is left behind, and for what a later visit finds."""
