"""The published JSON Schema (2020-12) of the record and of the export in JSON, made from the models."""

from __future__ import annotations

import json
from typing import Any

from pydantic import TypeAdapter

from commission_tui.handover.formats.verdict_rows import CheckVerdict
from commission_tui.logbook.entries.models import ENTRY
from commission_tui.logbook.entries.record_form import RECORD_VERSION

_DIALECT = "https://json-schema.org/draft/2020-12/schema"
_REFERENCE = "#/$defs/{model}"
_TEXT: dict[str, object] = {"type": "string"}


def export_schema() -> bytes:
    """Return the schema; it is the same for every job."""
    text = json.dumps(schema(), sort_keys=True, ensure_ascii=False, indent=1)
    return f"{text}\n".encode()


def schema() -> dict[str, Any]:
    """Return the schema as data: a record, or an export that has one under `record`."""
    entry = ENTRY.json_schema(mode="validation", ref_template=_REFERENCE)
    definitions: dict[str, Any] = entry.pop("$defs", {})
    definitions |= {"LogbookEntry": entry, "Record": _record(), "Export": _export()}
    verdict = TypeAdapter(CheckVerdict).json_schema(ref_template=_REFERENCE)
    definitions |= {**verdict.pop("$defs"), "CheckVerdict": verdict}
    return {
        "$schema": _DIALECT,
        "title": "Record of the commissioning of an LED video wall",
        "description": (
            "A record: every entry as it was written. Or an export: a record, its fingerprint, and "
            "the verdicts that follow from it. A key without a value is left out of an entry."
        ),
        "oneOf": [{"$ref": "#/$defs/Record"}, {"$ref": "#/$defs/Export"}],
        "$defs": definitions,
    }


def _object(properties: dict[str, Any], optional: tuple[str, ...] = ()) -> dict[str, Any]:
    return {
        "type": "object",
        "properties": properties,
        "required": sorted(set(properties) - set(optional)),
        "additionalProperties": False,
    }


def _list(of: str) -> dict[str, Any]:
    return {"type": "array", "items": {"$ref": f"#/$defs/{of}"}}


def _digest() -> dict[str, Any]:
    return {"type": "string", "pattern": "^[0-9a-f]{64}$"}


def _record() -> dict[str, Any]:
    photo = _object({"media_type": _TEXT, "sha256": _digest(), "size": {"type": "integer"}})
    return _object(
        {
            "entries": _list("LogbookEntry"),
            "photos": {"type": "array", "items": photo},
            "record": {"const": RECORD_VERSION},
        }
    )


def _export() -> dict[str, Any]:
    job = _object(
        {
            **dict.fromkeys(("id", "name", "client", "integrator"), _TEXT),
            "reference": {"type": ["string", "null"]},
        }
    )
    return _object(
        {
            "fingerprint": _digest(),
            "job": job,
            "program": _TEXT,
            "record": {"$ref": "#/$defs/Record"},
            "verdicts": _list("CheckVerdict"),
        }
    )
