"""The SQLite file: schema, durable rows, copies, and a check of a whole database."""
