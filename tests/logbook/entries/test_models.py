"""What may never change of what an entry holds: it would change the digest of what is logged already."""

from __future__ import annotations

from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.chain import entry_json
from commission_tui.logbook.entries.entry_parts import Accuracy, FrozenLimit, TakenException
from commission_tui.validation_errors import fields

FROZEN = {
    "Accuracy": {"percent": 0.0, "absolute": 0.0},
    "Design": {"reason": ""},
    "DocumentIssued": {"paper": "A4"},
    "FaultFound": {"note": "", "seen_on": ""},
    "FaultWork": {"note": ""},
    "FeatureSettled": {"note": ""},
    "FileKept": {"media_type": "application/octet-stream", "note": ""},
    "FrozenLimit": {"unit": ""},
    "LimitsFrozen": {"limits": ()},
    "PartFitted": {"from_spares": False, "note": ""},
    "Photo": {"caption": ""},
    "ReadingTaken": {"unit": "", "odd": ""},
    "ScopeAgreed": {"reason": ""},
    "SettingLogged": {"place": "wall", "note": ""},
    "VisitBegun": {"reason": ""},
}
"""Defaults other than None, by kind. The chain holds them: neither they nor their number may change.

A new field of a kind that is here, or that was ever logged, has None as its default (`models` says
why). Only a new kind, of which nobody has logged one, may bring others: add it here with its first.
"""


def test_no_field_but_those_of_the_first_day_is_in_the_digest_of_entries_that_do_not_use_it() -> (
    None
):
    kinds = (*e.Body.__subclasses__(), Accuracy, FrozenLimit, TakenException)
    defaults = {
        kind.__name__: {
            name: field.default
            for name, field in fields(kind).items()
            if name != "kind" and not field.is_required() and field.default is not None
        }
        for kind in kinds
    }
    assert {kind: held for kind, held in defaults.items() if held} == FROZEN


def test_what_is_none_is_left_out_of_what_the_digest_is_of_and_an_empty_text_is_not() -> None:
    entry = e.Entry(
        id="01234567-89ab-7def-8000-000000000001",
        job="01234567-89ab-7def-8000-000000000002",
        at="2026-05-31T12:00:00.000Z",
        by="A",
        body=e.ReadingTaken(check="nine", field="x", place="wall", value=1.0),
    )
    assert entry_json(entry)["body"] == {
        "kind": "reading",
        "check": "nine",
        "field": "x",
        "place": "wall",
        "value": 1.0,
        "unit": "",
        "odd": "",
    }
