"""Keys, and signing a document with them."""
