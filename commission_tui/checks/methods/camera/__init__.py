"""Methods for the wall as cameras see it."""
