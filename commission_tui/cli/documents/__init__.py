"""Commands on what is handed over: export, signing, verifying, copies."""
