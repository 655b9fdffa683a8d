"""Every method, registered by being imported here."""
