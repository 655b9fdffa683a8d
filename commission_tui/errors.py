"""The errors a user can meet; each is one line: where, what was found, what was expected.

CommissionError
├── WallFileError        the design as handed over is not sound
├── ChecklistError       a check definition is not sound
├── InputError           something typed, or a table of readings, is not sound
├── StoreError           the database cannot be used
└── DocumentError        the handover cannot be made or read
"""

from __future__ import annotations

from collections.abc import Iterable

from commission_tui.text import escaped

_LONGEST_WORD = 100


class CommissionError(Exception):
    """Base of every error that is the input's fault, not the program's.

    What it says is made one printable line here, since parts of it come from files that anyone may
    have written: no such text moves a cursor, changes a title or passes for a second message.
    """

    def __init__(self, said: str = "") -> None:
        super().__init__(escaped(said))


class WallFileError(CommissionError):
    """A wall file is not sound: the first thing that is wrong, and in `lines` everything."""

    def __init__(self, *said: str) -> None:
        self.lines = tuple(escaped(line) for line in said)
        more = f" (and {len(said) - 1} more)" if said[1:] else ""
        super().__init__("".join(said[:1]) + more)


class ChecklistError(CommissionError):
    """A check definition is not sound."""


class InputError(CommissionError):
    """A value, an option or a table of readings is not sound."""


class StoreError(CommissionError):
    """The database cannot be read or written."""


class DocumentError(CommissionError):
    """A handover document cannot be made or read."""


class NoDocumentError(DocumentError):
    """A file is no document and no record at all."""


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """Return `` (did you mean 'x'?)`` for the closest known word, or nothing.

    Nothing of ours is as long as `_LONGEST_WORD`, and comparing takes time as the square of a word.
    """
    if len(word) > _LONGEST_WORD:
        return ""
    import difflib  # here, not at the top: only what is wrong needs it

    close = difflib.get_close_matches(word, list(known), n=1, cutoff=0.6)
    return f" (did you mean '{close[0]}'?)" if close else ""
