"""Methods for the supply and the circuits."""
