"""What a library logs kept off the terminal: what matters comes out as an error."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager

_LIBRARIES = ("pyhanko", "pyhanko_certvalidator")


@contextmanager
def without_library_logs() -> Iterator[None]:
    """Let nothing of the signing libraries' logs through."""
    logs = [logging.getLogger(name) for name in _LIBRARIES]
    before = [(log, log.propagate, log.level) for log in logs]
    for log in logs:
        log.propagate = False
        log.setLevel(logging.CRITICAL + 1)
    try:
        yield
    finally:
        for log, propagate, level in before:
            log.propagate = propagate
            log.setLevel(level)
