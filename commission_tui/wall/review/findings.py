"""One thing the review of a design found, in a sentence with its numbers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Finding:
    """A sentence about a design, how grave, and where the rule comes from.

    A contradiction is two statements that cannot both be true; an overload breaks a rule that the
    source states; a warning wants a person's eye; a note is for the record.
    """

    severity: Literal["contradiction", "overload", "warning", "note"]
    subject: str
    text: str
    source: str
