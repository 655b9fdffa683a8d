"""How even the wall is, cabinet by cabinet, from a photograph of a full field."""
