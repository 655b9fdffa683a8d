"""An entry as it stands: itself, or what a later entry made of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar

from commission_tui.logbook.entries.models import Body

B = TypeVar("B", bound=Body)
B_co = TypeVar("B_co", bound=Body, covariant=True)


class Logged(Protocol[B_co]):
    """What stands, with who wrote it and when; `corrected` when a later entry changed it."""

    @property
    def id(self) -> str: ...
    @property
    def at(self) -> str: ...
    @property
    def by(self) -> str: ...
    @property
    def body(self) -> B_co: ...
    @property
    def corrected(self) -> bool: ...


@dataclass(frozen=True, slots=True)
class Corrected(Generic[B]):
    """An entry with the body that a later entry gave it."""

    id: str
    at: str
    by: str
    body: B
    corrected: bool = True
