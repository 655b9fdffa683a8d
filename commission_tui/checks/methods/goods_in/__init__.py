"""Methods for goods as they arrive."""
