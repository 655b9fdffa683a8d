"""Where a field is read, which places lie beside each other, and when a check applies at all."""
