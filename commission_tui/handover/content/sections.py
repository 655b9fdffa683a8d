"""What the document is made of: chapters of sections, and the rows in them.

All that is said stands here as data, headings and cautions as well. Paper and page lay a section out by
its form and add no words but those that tell one thing from another in a row.
"""

from __future__ import annotations

from collections.abc import Sequence, Sized
from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class Fact:
    """A label and what is printed beside it."""

    label: str
    value: str
    first: str = ""
    """What stands out at the beginning of the value."""
    digest: str = ""
    """A line of its own below the value."""

    def __str__(self) -> str:
        return f"{self.label}: {self.value}"


@dataclass(frozen=True, slots=True)
class Listing:
    """Rows of text, and what stands over their columns; a head without words is for the layout alone."""

    heads: Sequence[str]
    rows: Sequence[Sequence[str]]

    def __len__(self) -> int:
        return len(self.rows)


@dataclass(frozen=True, slots=True)
class DrawingRow:
    """A drawing and what stands below it."""

    file: str
    title: str
    caption: str
    alt: str
    high: float
    """How high it is for its width, where that decides its size on a page."""


@dataclass(frozen=True, slots=True)
class Section:
    """What stands under a heading, or behind what stands there already."""

    form: str
    """In which way it is laid out: one of ``forms.typ``, and of the page where it is no plain table."""
    body: Sized
    title: str = ""
    lead: str = ""
    """What is said before it, where there is something."""
    none: str = ""
    """What is said where there is nothing; a section that says nothing then is left out."""
    on_paper: bool = True
    """Whether the pages have it too, and not only the page in HTML, which may be of any length."""


@dataclass(frozen=True, slots=True)
class Chapter:
    """Sections under one heading of the document."""

    title: str
    sections: Sequence[Section]
    lead: str = ""
    reader: str = ""
    """Who looks for it first, on the cover."""


def chapter(title: str, *sections: Section, lead: str = "", reader: str = "") -> Chapter:
    """Return a chapter of those sections that say something."""
    said = (
        one if len(one.body) else replace(one, form="nothing", body=one.none, lead="")
        for one in sections
    )
    return Chapter(title, [one for one in said if len(one.body)], lead, reader)
