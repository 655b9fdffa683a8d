"""Parts fitted and exchanged."""
