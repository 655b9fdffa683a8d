"""The published JSON Schema (2020-12) of the record and of the export in JSON, made from the models."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any, ClassVar, Literal

from pydantic import ConfigDict, TypeAdapter
from pydantic.json_schema import GenerateJsonSchema

from commission_tui.handover.formats.verdict_rows import Digest, Results
from commission_tui.logbook.entries.models import Entry


@dataclass(frozen=True, slots=True)
class PhotoNamed:
    """A photo that an entry names."""

    __pydantic_config__: ClassVar[ConfigDict] = ConfigDict(extra="forbid")
    media_type: str
    sha256: Digest
    size: int


@dataclass(frozen=True, slots=True)
class Record:
    """Every entry as it was written."""

    __pydantic_config__: ClassVar[ConfigDict] = ConfigDict(extra="forbid")
    entries: list[Entry]
    photos: list[PhotoNamed]
    record: Literal[1]


@dataclass(frozen=True, slots=True)
class Export(Results):
    """A record, its fingerprint, and the verdicts that follow from it."""

    record: Record


def export_schema() -> bytes:
    """Return the schema; it is the same for every job."""
    text = json.dumps(schema(), sort_keys=True, ensure_ascii=False, indent=1)
    return f"{text}\n".encode()


def schema() -> dict[str, Any]:
    """Return the schema as data: a record, or an export that has one under `record`."""
    made = TypeAdapter(Record | Export).json_schema()
    return {
        "$schema": GenerateJsonSchema.schema_dialect,
        "title": "Record of the commissioning of an LED video wall",
        "description": (
            "A record: every entry as it was written. Or an export: a record, its fingerprint, and "
            "the verdicts that follow from it. A key without a value is left out of an entry."
        ),
        **made,
    }
