"""Rows that several parts of the document are made of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fact:
    """A label and what is printed beside it."""

    label: str
    value: str

    def __str__(self) -> str:
        return f"{self.label}: {self.value}"


@dataclass(frozen=True, slots=True)
class Listing:
    """Rows of text, and what stands over their columns."""

    heads: Sequence[str]
    rows: Sequence[Sequence[str]]


@dataclass(frozen=True, slots=True)
class Event:
    """What somebody did, and when."""

    at: str
    by: str
    what: str
