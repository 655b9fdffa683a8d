"""One evening of one person, typed at the program in a pseudo-terminal, with the keys counted."""
