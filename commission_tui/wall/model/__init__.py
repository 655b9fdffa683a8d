"""The wall file as written, the wall that it describes, and the grammar of places."""
