"""Making entries' bodies, with one plain line for what does not fit."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any, TypeVar

from pydantic import ValidationError
from pydantic.dataclasses import is_pydantic_dataclass
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from commission_tui.errors import InputError
from commission_tui.text import clipped, escaped

M = TypeVar("M")
Where = Sequence[int | str]
_CLIPPED = 40
BARE_NUMBER = re.compile(r"[+-]?\d{2,}(?:[.,]\d+)?|[+-]?\d+[.,]\d+")
"""What a meter gives, typed or pasted in the wrong place; a single figure may be a count or a revision."""


def body(model: type[M], **values: Any) -> M:
    """Make an entry's body; what does not fit is one plain line.

    Raises
    ------
    InputError
        Names the field, what was found and what was expected.
    """
    try:
        return model(**values)
    except ValidationError as error:
        raise InputError(refusal(error, model)) from None


def in_words(reason: str) -> str:
    """Return a reason; a number alone is the next line of a list, typed where a reason was asked for.

    Raises
    ------
    InputError
        When it is a number.
    """
    if BARE_NUMBER.fullmatch(reason.strip()):
        raise InputError(f"reason: found {escaped(reason.strip())}, a number alone; expected words")
    return reason


def changed_body(known: M, **values: Any) -> M:
    """Make a body as another is but for some fields; what does not fit is one plain line.

    Raises
    ------
    InputError
        As for `body`.
    """
    return body(
        type(known), **{name: getattr(known, name) for name in body_fields(type(known))} | values
    )


def refusal(error: ValidationError, model: type) -> str:
    """Say what does not fit in an entry, or a part of one: ``name: found …, expected …``."""
    errors = error.errors(include_url=False)
    complaints = _of_own_type(errors)
    where = _name(model, complaints[0]["loc"])
    if complaints[0]["type"] == "unexpected_keyword_argument":
        return f"{where}: found {_clipped(str(complaints[0]['loc'][-1]))}, expected nothing of that name"
    expected = " or ".join(dict.fromkeys(map(_expected, complaints)))
    return f"{where}: found {_found(complaints[0])}, expected {expected}"


def _of_own_type(errors: Sequence[ErrorDetails]) -> Sequence[ErrorDetails]:
    """Return the first complaint; where a value may be of several types, that of its own type.

    All of them when it is of none of those types.
    """
    value, at = errors[0]["input"], errors[0]["loc"][:1]
    same = [error for error in errors if error["input"] is value and error["loc"][:1] == at]
    if len(same) == 1 or errors[0]["type"] == "missing":
        return errors[:1]
    own = "string_" if isinstance(value, str) else "finite_number"
    mine = [
        error for error in same if error["type"].startswith(own) and error["type"] != "string_type"
    ]
    return mine[:1] or same


# --- where


def _name(model: type, where: Where) -> str:
    """Return the plain name of the innermost field that a complaint is about."""
    here: tuple[type, ...] = (model,)
    name, of = str(_kind(model) or "entry"), ""
    within: Any = None
    for part in where:
        kinds = tuple(one for one in here if len(here) > 1 and part == _kind(one))
        holder = None if kinds else next((one for one in here if part in body_fields(one)), None)
        if holder is not None:
            within = body_fields(holder)[str(part)].annotation
            name, of = field_name(holder.__name__, str(part)) + of, ""
            here = tuple(_models(within))
        elif kinds:
            here = kinds
        elif isinstance(part, int):
            of = of or f" {part + 1}"
        elif part.strip() and part != "[key]" and getattr(within, "__origin__", None) is dict:
            of = of or f" of {_clipped(part)}"
    return name + of


def body_fields(model: type) -> Mapping[str, FieldInfo]:
    """Return the fields of a kind of entry, or of a part of one, by name."""
    return model.__pydantic_fields__ if is_pydantic_dataclass(model) else {}


def _kind(model: type) -> object:
    field = body_fields(model).get("kind")
    return field.default if field else None


def _models(annotation: Any) -> list[type]:
    """Return every kind of entry, or part of one, that an annotation may hold."""
    if isinstance(annotation, type) and is_pydantic_dataclass(annotation):
        return [annotation]
    inner = getattr(annotation, "__args__", ())
    return [model for part in inner for model in _models(part)]


# --- what was found


def _found(error: ErrorDetails) -> str:
    """Show a value as the person who typed it knows it."""
    value = error["input"]
    if (
        error["type"] == "missing"
        or value is None
        or (isinstance(value, str) and not value.strip())
    ):
        return "nothing"
    if error["type"] == "string_pattern_mismatch" and error["ctx"]["pattern"].startswith("^[^"):
        return "characters that cannot be printed"
    if error["type"] == "string_unicode":
        return "bytes that are not text here"
    if error["type"] == "string_too_long":
        return f"{len(value)} characters"
    if error["type"] == "too_long":
        return str(error["ctx"]["actual_length"])
    return _shown(value)


def _shown(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return f"'{_clipped(value)}'"
    if isinstance(value, int | float | date | datetime):
        return _clipped(str(value))
    if isinstance(value, Mapping) or is_pydantic_dataclass(type(value)):
        return "a table"
    if isinstance(value, Sequence | frozenset | set):
        return "a list" if len(value) else "an empty list"
    return "something else"


def _clipped(text: str) -> str:
    return clipped(escaped(text[: _CLIPPED + 1]), _CLIPPED)


# --- what was expected

_FIXED: Mapping[str, str] = {
    **dict.fromkeys(("bool_type", "bool_parsing"), "yes or no"),
    **dict.fromkeys(
        (
            *("date_from_datetime_inexact", "date_from_datetime_parsing"),
            "date_parsing",
            "date_type",
        ),
        "a day such as 2026-05-31",
    ),
    **dict.fromkeys(("dataclass_type", "dict_type"), "a table"),
    **dict.fromkeys(("finite_number", "float_parsing", "float_type"), "a number"),
    **dict.fromkeys(("int_from_float", "int_parsing", "int_type"), "a whole number"),
    "int_parsing_size": "a smaller number",
    "missing": "a value",
    "string_too_short": "some text",
    "string_type": "text",
    "string_unicode": "UTF-8 (see LANG)",
    "tuple_type": "a list",
    "union_tag_invalid": "a kind of entry that is known",
    "union_tag_not_found": "a kind of entry",
}
_BOUNDED: Mapping[str, str] = {
    "greater_than": "more than {gt:g}",
    "greater_than_equal": "{ge:g} or more",
    "less_than": "less than {lt:g}",
    "less_than_equal": "at most {le:g}",
    "string_too_long": "at most {max_length}",
    "too_long": "at most {max_length}",
    "too_short": "at least {min_length}",
}
_PATTERNS: Mapping[str, str] = {
    "^[0-9a-f]{64}$": "a hash of 64 digits and letters a to f",
    "^[0-9a-f]{8}(-": "the id of an entry",
    "^[a-z0-9]+(-[a": "small letters a to z, digits and single hyphens",
    r"^\d{4}-\d\d-\d": "a time in UTC such as 2026-05-31T12:00:00.000Z",
}


def _expected(error: ErrorDetails) -> str:
    """Say what fits, in no words of the library that checks."""
    kind, context = error["type"], error.get("ctx", {})
    if kind == "string_pattern_mismatch":
        begins = (
            words for start, words in _PATTERNS.items() if context["pattern"].startswith(start)
        )
        return next(begins, "plain text")
    if kind == "literal_error":
        return _choices(context["expected"])
    if kind in _BOUNDED:
        return _BOUNDED[kind].format(**context)
    return _FIXED.get(kind, "something else")


def _choices(expected: str) -> str:
    choices = expected.replace("'", "").replace(" or ", ", ")
    if choices == "True":
        return "yes"
    return f"one of {choices}" if "," in choices else choices


# --- what people call the fields, in the words of the forms

EVERYWHERE: Mapping[str, str] = {
    "accepted_by": "who accepts it for the client",
    "agreed_by": "who agreed to it",
    "batch": "batch",
    "certificate": "certificate",
    "check": "check",
    "client": "client",
    "fingerprint": "fingerprint of the record",
    "instrument": "instrument",
    "integrator": "integrator",
    "location": "place",
    "media_type": "format of the file",
    "note": "note",
    "organisation": "organisation",
    "part": "kind of part",
    "place": "place",
    "reason": "reason",
    "role": "role",
    "serial": "serial number",
    "sha256": "hash of the file",
    "size": "size of the file",
    "unit": "unit",
}
"""What a field is called wherever it stands, unless its kind of entry says otherwise."""

OF_KIND: Mapping[str, Mapping[str, str]] = {
    "Accuracy": {
        "percent": "accuracy in percent of the reading",
        "absolute": "fixed part of the accuracy",
        "repeatability_percent": "repeatability in percent of the reading",
        "repeatability_absolute": "fixed part of the repeatability",
        "resolution": "resolution",
    },
    "ChecklistSet": {"files": "checklist files"},
    "Correction": {
        "corrects": "entry that is corrected",
        "replacement": "what it should have been",
        "reason": "reason of the correction",
    },
    "Design": {"text": "wall file", "reason": "reason of the revision"},
    "DocumentIssued": {
        "number": "number of the document",
        "paper": "paper",
        "supplements": "hash of the document that it supplements",
    },
    "Entry": {
        "id": "id of the entry",
        "job": "id of the job",
        "at": "time of the entry",
        "by": "who wrote the entry",
        "previous": "entry before it",
        "joins": "entries that it joins",
        "body": "what was logged",
    },
    "FaultFound": {
        "fault": "kind of fault",
        "severity": "severity",
        "seen_on": "what it was seen on",
    },
    "FaultWork": {
        "found": "fault",
        "action": "step",
        "owner": "who puts it right",
        "due": "until when it is put right",
    },
    "FileKept": {"name": "name of the file", "what": "kind of file"},
    "FrozenLimit": {
        "name": "name of the limit",
        "unit": "unit of the limit",
        "low": "lower limit",
        "high": "upper limit",
        "source": "source of the limit",
        "standing": "standing of the limit",
    },
    "Instrument": {
        "key": "short name of the instrument",
        "name": "name of the instrument",
        "calibration_due": "day on which calibration is due",
        "certificate": "calibration certificate",
        "accuracy": "accuracy",
    },
    "InstrumentChosen": {"units": "unit"},
    "JobOpened": {"name": "name of the job", "reference": "order or contract number"},
    "LimitChanged": {"limit": "limit", "reason": "reason of the change"},
    "LimitsFrozen": {"limits": "limit"},
    "Note": {"text": "note"},
    "PartFitted": {
        "replaces": "serial number of the part taken out",
        "from_spares": "taken from the spares",
    },
    "Person": {"name": "name", "phone": "phone number", "mail": "mail address"},
    "Photo": {"name": "name of the file", "about": "fault that it shows", "caption": "caption"},
    "ReadingTaken": {
        "field": "what is read",
        "value": "reading",
        "meter_time": "time that the meter wrote",
        "photo": "photograph that it was read from",
        "again": "further reading",
        "odd": "why the value was asked about",
    },
    "ScopeAgreed": {"size": "scope", "checks": "check"},
    "FeatureSettled": {"feature": "feature", "there": "there"},
    "ResultsKept": {"change": "change", "checks": "check"},
    "SettingLogged": {"setting": "setting", "value": "value of the setting"},
    "Signature": {
        "name": "name of who signs",
        "statement": "statement",
        "exceptions": "number of exceptions",
        "strokes": "signature as drawn",
        "decision": "decision",
        "taken": "exceptions taken",
    },
    "TakenException": {
        "what": "exception",
        "owner": "owner of the exception",
        "due": "date of the exception",
        "consent": "the client's initials or words",
        "fault": "fault that is taken",
    },
    "SparePut": {"kept_at": "where it is kept"},
    "TableMapping": {"name": "name of the mapping", "columns": "columns"},
    "VisitBegun": {
        "name": "name of the visit",
        "reason": "reason of the visit",
        "hours_run": "hours run",
    },
}


def field_name(model: str, field: str) -> str:
    """Return what people call a field of a kind of entry."""
    named = OF_KIND.get(model, {}).get(field) or EVERYWHERE.get(field)
    return named or field
