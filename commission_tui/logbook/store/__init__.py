"""The SQLite file: schema, durable rows, copies, and a check of a whole database.

The rooms of the logbook may import them; nothing outside it but `readonly` and `backup`.
"""
