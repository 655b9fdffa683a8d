"""Many cases in one test, each named where it fails."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def case(*what: object) -> Iterator[None]:
    """Name the case in what a failure says."""
    try:
        yield
    except BaseException as error:
        error.add_note(f"in the case of {', '.join(map(repr, what))}")
        raise
