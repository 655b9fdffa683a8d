"""The parts that several screens are made of; each knows only what it is handed."""
