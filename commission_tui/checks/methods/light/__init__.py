"""Methods for brightness, colour, seams and pixels."""
