"""Everything that happened on site, as entries that are written once, and the state that follows from them."""
