"""A body as it stands, with who wrote it and when."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic, TypeVar

from commission_tui.logbook.entries.models import Body

B = TypeVar("B", bound=Body)


@dataclass(frozen=True, slots=True)
class Logged(Generic[B]):
    """A body with who wrote it and when; `corrected` when a later entry changed it."""

    id: str
    at: str
    by: str
    body: B
    corrected: bool = False
