"""The kinds of entry, how one is made, named, numbered and chained to the one before."""
