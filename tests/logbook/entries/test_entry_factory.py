"""What does not fit into an entry is one line in a person's words, for every kind of entry."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import product
from typing import Any

import pytest

from commission_tui.errors import InputError
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import (
    EVERYWHERE,
    OF_KIND,
    body,
    field_name,
    in_words,
)
from commission_tui.logbook.entries.entry_parts import Accuracy, FrozenLimit, Line, TakenException
from commission_tui.validation_errors import fields

ID = "01234567-89ab-7def-8000-000000000001"
HASH = "a" * 64
LIMIT = {"name": "x", "source": "contract", "standing": "contract"}

GOOD: dict[type, dict[str, Any]] = {
    e.JobOpened: {"name": "Hall", "client": "C", "integrator": "I", "reference": "4711"},
    e.Design: {"text": "[wall]", "reason": "weighed"},
    e.ChecklistSet: {"files": {"a.toml": "order = 1"}},
    Accuracy: {
        "percent": 2.0,
        "absolute": 0.1,
        "repeatability_percent": 0.5,
        "repeatability_absolute": 0.02,
        "resolution": 0.01,
    },
    e.Instrument: {
        "key": "meter",
        "name": "Spot meter",
        "serial": "42",
        "calibration_due": "2026-05-31",
        "certificate": "K 7",
        "accuracy": {"cd/m2": {"percent": 2.0}},
    },
    e.InstrumentChosen: {"instrument": "meter", "units": ("lx",)},
    e.ReadingTaken: {
        "check": "nine",
        "field": "x",
        "place": "wall",
        "value": 1.0,
        "unit": "lx",
        "instrument": "meter",
        "meter_time": "12:00",
        "photo": HASH,
        "odd": "twice as much",
    },
    e.NotApplicable: {"check": "nine", "reason": "none fitted"},
    e.FaultFound: {
        "fault": "dark seam",
        "location": "R1C1",
        "severity": "near",
        "note": "n",
        "check": "nine",
        "seen_on": "grey",
    },
    e.FaultWork: {
        "found": ID,
        "action": "accepted",
        "note": "n",
        "accepted_by": "M. Hollis",
        "owner": "Our firm",
        "due": "2026-07-14",
    },
    e.Note: {"text": "n", "check": "nine"},
    e.Photo: {
        "sha256": HASH,
        "name": "a.png",
        "media_type": "image/png",
        "size": 1,
        "about": ID,
        "check": "nine",
        "caption": "c",
    },
    FrozenLimit: {"unit": "lx", "low": 1.0, "high": 2.0, **LIMIT},
    e.LimitsFrozen: {"check": "nine", "limits": (LIMIT,)},
    e.LimitChanged: {"check": "nine", "limit": LIMIT, "agreed_by": "M. Hollis", "reason": "r"},
    e.SettingLogged: {"setting": "gain", "place": "wall", "value": "80 %", "note": "n"},
    e.ScopeAgreed: {"size": "short", "checks": ("nine",), "reason": "r"},
    e.FeatureSettled: {"feature": "fibre", "there": "no", "note": "n"},
    e.ResultsKept: {"change": ID, "checks": ("nine",), "reason": "r"},
    e.PartFitted: {
        "part": "module",
        "location": "R1C1 m1,1",
        "serial": "7",
        "batch": "B",
        "replaces": "6",
        "from_spares": True,
        "note": "n",
    },
    e.SparePut: {"part": "module", "serial": "7", "batch": "B", "kept_at": "rack room"},
    e.VisitBegun: {"name": "30 days", "reason": "as agreed", "hours_run": 400.0},
    e.TableMapping: {"name": "m", "check": "nine", "columns": {"Lv": "x"}},
    e.FileKept: {
        "sha256": HASH,
        "name": "a.cfg",
        "media_type": "text/plain",
        "size": 1,
        "what": "configuration",
        "check": "nine",
        "note": "n",
    },
    e.Person: {
        "name": "M. Hollis",
        "role": "stage manager",
        "organisation": "O",
        "phone": "1",
        "mail": "m@example.org",
    },
    e.DocumentIssued: {
        "number": "1",
        "fingerprint": HASH,
        "sha256": HASH,
        "paper": "A4",
        "supplements": HASH,
    },
    e.Signature: {
        "role": "client",
        "name": "M. Hollis",
        "organisation": "O",
        "statement": "s",
        "fingerprint": HASH,
        "exceptions": 0,
        "strokes": (((1, 2),),),
        "decision": "accepts",
        "taken": (
            {"what": "w", "check": "nine", "owner": "O", "due": "2026-07-01", "consent": "M. H."},
        ),
    },
    e.Correction: {"corrects": ID, "reason": "slip", "undoes": ID},
}
"""Every kind of entry, and what stands inside one, filled in as a person would."""

BAD = {
    "empty": "",
    "blank": " \t ",
    "too long": "x" * 4_000_001,
    "control characters": "a\x1b[2Jb",
    "the other way round": "a\u202eb",
    "not text": "a\ud800",
    "a list": ["x"],
    "an empty list": [],
    "a table": {"x": ["y"]},
    "nothing": None,
    "yes": True,
    "a number": 12,
    "too large": 10**400,
    "below": -1,
    "no number": float("nan"),
    "endless": float("inf"),
    "words": "quite a lot",
}
LIBRARY = re.compile(
    r"[Ii]nput should|String should|should have|valid |characters?$|Value error|required|permitted"
    r"|instance|unicode|pattern|literal|discriminator|validation|something else|_|\w\.\w"
    r"|Line\b|Body\b"
)
"""Words of the library that checks, names of our own code, dotted names."""


def filled() -> Iterator[tuple[type, str]]:
    return ((model, name) for model, good in GOOD.items() for name in good)


def refused(model: type, values: dict[str, Any]) -> str:
    """Return the line that a body is refused with; nothing when it is taken."""
    try:
        body(model, **values)
    except InputError as error:
        return str(error)
    return ""


def name_of(model: type, name: str) -> str:
    return field_name(model.__name__, name)


def test_the_table_has_every_kind_and_every_field_a_person_fills() -> None:
    kinds = {model.__name__ for model in e.Body.__subclasses__()} | {"Accuracy", "FrozenLimit"}
    assert {model.__name__ for model in GOOD} == kinds - {"Entry"}
    by_program = {"kind", "again", "joins", "replacement"}
    for model, good in GOOD.items():
        assert refused(model, good) == ""
        assert set(fields(model)) - set(good) <= by_program, model


def test_every_field_has_a_name_of_its_own_and_no_name_is_left_over() -> None:
    used = set()
    kinds: tuple[type, ...] = (*GOOD, e.Entry, TakenException)
    for model in kinds:
        for name in set(fields(model)) - {"kind"}:
            # What has no row is called by its own name, which must then be a word that people use.
            assert re.fullmatch("[a-z ]+|.*'.*", name_of(model, name)), (model, name)
            used.add((model.__name__, name))
    assert {(model, name) for model, names in OF_KIND.items() for name in names} <= used
    assert EVERYWHERE.keys() <= {name for _, name in used}
    rows = [row for names in (EVERYWHERE, *OF_KIND.values()) for row in names.items()]
    assert [name for name, said in rows if name == said] == []


@pytest.mark.parametrize("model", GOOD, ids=lambda model: model.__name__)
def test_what_does_not_fit_is_said_in_plain_words(model: type) -> None:
    for name, what in product(GOOD[model], BAD):
        said = refused(model, GOOD[model] | {name: BAD[what]})
        if said:
            where, _, rest = said.partition(": ")
            assert rest.startswith("found "), said
            assert ", expected " in rest, said
            assert not LIBRARY.search(said), said
            assert said.isprintable(), said
            assert len(said) < 160, said
            # A table's own parts are named instead of the table.
            assert where.startswith(name_of(model, name)) or what == "a table", said


@pytest.mark.parametrize("model", GOOD, ids=lambda model: model.__name__)
def test_what_is_left_out_is_said_to_be_missing(model: type) -> None:
    missing = 0
    for name, field in fields(model).items():
        if field.is_required():
            rest = {key: value for key, value in GOOD[model].items() if key != name}
            assert (
                refused(model, rest) == f"{name_of(model, name)}: found nothing, expected a value"
            )
            missing += 1
    assert missing or model is Accuracy


def test_an_empty_line_and_a_control_character_are_refused_wherever_a_line_is_filled_in() -> None:
    """So that the tests above cannot pass by taking everything."""
    lines = 0
    for model, name in filled():
        if model.__annotations__[name] in (Line, Line | None):
            lines += 1
            for what, found, expected in (
                ("empty", "nothing", "some text"),
                ("blank", "nothing", "some text"),
                ("control characters", "characters that cannot be printed", "plain text"),
                ("too long", "4000001 characters", "at most 200"),
                ("a number", "12", "text"),
                ("not text", "bytes that are not text here", "UTF-8 (see LANG)"),
            ):
                said = refused(model, GOOD[model] | {name: BAD[what]})
                assert said == f"{name_of(model, name)}: found {found}, expected {expected}"
    assert lines == 53


@pytest.mark.parametrize(
    ("model", "values", "said"),
    [
        (
            e.LimitChanged,
            {"limit": LIMIT | {"source": " "}},
            "source of the limit: found nothing, expected some text",
        ),
        (
            e.LimitChanged,
            {"limit": LIMIT | {"low": "x"}},
            "lower limit: found 'x', expected a number",
        ),
        (
            e.LimitsFrozen,
            {"limits": (LIMIT, LIMIT | {"standing": "habit"})},
            "standing of the limit 2: found 'habit', expected 'standard', 'law', 'contract', 'maker' "
            "or 'common practice'",
        ),
        (
            e.Instrument,
            {"accuracy": {"lx": {"percent": -1}}},
            "accuracy in percent of the reading of lx: found -1, expected 0 or more",
        ),
        (e.Instrument, {"accuracy": {"": {}}}, "accuracy: found nothing, expected some text"),
        (
            e.Instrument,
            {"key": "Spot meter"},
            "short name of the instrument: found 'Spot meter', expected small letters a to z, "
            "digits and single hyphens",
        ),
        (
            e.Instrument,
            {"calibration_due": "soon"},
            "day on which calibration is due: found 'soon', expected a day such as 2026-05-31",
        ),
        (
            e.ReadingTaken,
            {"value": ["x"]},
            "reading: found a list, expected yes or no or a number or text",
        ),
        (e.ReadingTaken, {"value": float("nan")}, "reading: found nan, expected a number"),
        (e.ReadingTaken, {"value": ""}, "reading: found nothing, expected some text"),
        (e.InstrumentChosen, {"units": ("lx", "")}, "unit 2: found nothing, expected some text"),
        (e.ResultsKept, {"checks": ()}, "check: found an empty list, expected at least 1"),
        (e.VisitBegun, {"hours_run": "many"}, "hours run: found 'many', expected a number"),
        (e.Signature, {"exceptions": -1}, "number of exceptions: found -1, expected 0 or more"),
        (
            e.Signature,
            {"strokes": (((1, 20_000),),)},
            "signature as drawn 1: found 20000, expected at most 10000",
        ),
        (
            e.Correction,
            {"replacement": {"kind": "setting", "setting": "gain", "value": ""}},
            "value of the setting: found nothing, expected some text",
        ),
        (e.Note, {"colour": 1}, "note: found 'colour', expected nothing of that name"),
        (
            e.FaultWork,
            {"found": "seven"},
            "fault: found 'seven', expected the id of an entry",
        ),
    ],
)
def test_the_words(model: type, values: dict[str, Any], said: str) -> None:
    assert refused(model, GOOD[model] | values) == said


@pytest.mark.parametrize(
    "typed",
    ["505", " 92.5 ", "0,12", "-3.1", "0.133 0.050", "0.1330.050", "0.3127/0.3290", "1920x1080"],
)
def test_a_number_alone_is_no_reason(typed: str) -> None:
    with pytest.raises(InputError, match="expected words"):
        in_words(typed)


@pytest.mark.parametrize("typed", ["misread", "2 m too low", "92.5 is the plan's", "5"])
def test_a_reason_may_hold_numbers(typed: str) -> None:
    assert in_words(typed) == typed
