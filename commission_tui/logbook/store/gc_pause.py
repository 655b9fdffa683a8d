"""Making very many objects at once without Python looking through them for cycles all the while."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def no_collecting() -> Iterator[None]:
    """Put the cyclic collector off: little made inside is garbage, and looking costs most of it."""
    on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if on:
            gc.enable()
