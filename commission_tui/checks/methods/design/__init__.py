"""Methods for the design on paper, before anything hangs."""
