"""The published schema: what is exported keeps to it, by jsonschema, the reference library in Python."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from commission_tui.handover.formats.verdict_rows import export_schema, schema
from commission_tui.logbook.job import OpenJob
from tests.handover.filled_job import filled
from tests.handover.helping import export, export_json, export_record, make_job, sign


@cache
def validator() -> Any:
    return jsonschema.Draft202012Validator(schema())


@pytest.mark.outside
def test_it_is_a_sound_schema() -> None:
    """PyPI ``jsonschema``, draft 2020-12."""
    jsonschema.Draft202012Validator.check_schema(schema())
    assert json.loads(export_schema()) == schema()


@pytest.mark.outside
def test_a_full_job_keeps_to_it(tmp_path: Path) -> None:
    """PyPI ``jsonschema``, draft 2020-12."""
    job = filled(tmp_path)
    sign(job, "client", "Marit Hollis")
    validator().validate(json.loads(export_record(job)))
    validator().validate(json.loads(export_json(job)))


@pytest.mark.outside
def test_the_demo_keeps_to_it(demo_job: OpenJob) -> None:
    """PyPI ``jsonschema``, draft 2020-12; an export holds the record whole.

    Of entries that differ in their words and numbers alone, most of a job's, the first is looked at.
    """
    exported = json.loads(export_json(demo_job))
    entries = exported["record"]["entries"]
    of_each_form = {form(entry): entry for entry in reversed(entries)}
    assert 30 < len(of_each_form) < len(entries) / 4
    exported["record"]["entries"] = list(of_each_form.values())
    validator().validate(exported)


def form(value: Any) -> Any:
    """Return which keys stand in a piece of JSON and what kinds of values, without the values."""
    if isinstance(value, dict):
        kind = value.get("kind")
        return kind, *((key, form(one)) for key, one in sorted(value.items()))
    return frozenset(map(form, value)) if isinstance(value, list) else type(value).__name__


@pytest.mark.outside
@pytest.mark.parametrize(
    ("key", "value"),
    [("at", "yesterday"), ("id", 7), ("body", {"kind": "nonsense"}), ("more", 1), ("by", "")],
)
def test_what_is_no_entry_does_not(tmp_path: Path, key: str, value: object) -> None:
    """PyPI ``jsonschema``, draft 2020-12."""
    content = json.loads(export_record(make_job(tmp_path)))
    content["entries"][0][key] = value
    with pytest.raises(jsonschema.ValidationError):
        validator().validate(content)


def test_it_is_among_the_forms_of_export(tmp_path: Path) -> None:
    (path,) = export(make_job(tmp_path), tmp_path / "out", ("schema",))
    assert path.read_bytes() == export_schema()
