"""Making very many objects at once without Python looking through them for cycles all the while."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager

_VERY_MANY = 50_000


@contextmanager
def no_collecting() -> Iterator[None]:
    """Put the cyclic collector off: nothing made inside is garbage, and looking costs most of it.

    What was made in great number is then left alone for good: it has no cycles, goes when nobody
    holds it, and looking through it would stop a screen for a second.
    """
    on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if on:
            if gc.get_count()[0] > _VERY_MANY:
                gc.freeze()
            gc.enable()
