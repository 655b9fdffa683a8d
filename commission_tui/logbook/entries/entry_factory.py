"""Making entries' bodies, with one plain line for what does not fit."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any, TypeVar

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from commission_tui.errors import InputError
from commission_tui.text import clipped, escaped, quoted
from commission_tui.validation_errors import expected, fields, found, models

M = TypeVar("M")
Where = Sequence[int | str]
_LONGEST_KEY = 40
BARE_NUMBER = re.compile(r"[+-]?\d{2,}(?:[.,]\d+)?|[+-]?\d+[.,]\d+")
"""What a meter gives, typed or pasted in the wrong place; a single figure may be a count or a revision."""

_NO_WORDS = re.compile(r"[\d\s.,;:/|x×+-]+")
"""One number or several, however they are parted: a line of a list of pairs, or two run together."""


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
    """Return a reason; figures alone are the next line of a list, typed where a reason was asked for.

    Raises
    ------
    InputError
        When it holds no word.
    """
    if _NO_WORDS.fullmatch(reason) and sum(map(str.isdigit, reason)) > 1:  # one may be a count
        raise InputError(f"reason: found {escaped(reason.strip())}, figures alone; expected words")
    return reason


def changed_body(known: M, **values: Any) -> M:
    """Make a body as another is but for some fields; what does not fit is one plain line.

    Raises
    ------
    InputError
        As for `body`.
    """
    return body(
        type(known), **{name: getattr(known, name) for name in fields(type(known))} | values
    )


def refusal(error: ValidationError, model: type) -> str:
    """Say what does not fit in an entry, or a part of one: ``name: found …, expected …``."""
    complaints = _of_own_type(error.errors(include_url=False))
    first = complaints[0]
    where = _name(model, first["loc"])
    if first["type"] == "unexpected_keyword_argument":
        return f"{where}: found {quoted(str(first['loc'][-1]))}, expected nothing of that name"
    fitting = " or ".join(dict.fromkeys(map(expected, complaints)))
    return f"{where}: found {found(first)}, expected {fitting}"


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
        holder = None if kinds else next((one for one in here if part in fields(one)), None)
        if holder is not None:
            within = fields(holder)[str(part)].annotation
            name, of = field_name(holder.__name__, str(part)) + of, ""
            here = tuple(models(within))
        elif kinds:
            here = kinds
        elif isinstance(part, int):
            of = of or f" {part + 1}"
        elif part.strip() and part != "[key]" and getattr(within, "__origin__", None) is dict:
            of = of or f" of {clipped(escaped(part), _LONGEST_KEY)}"
    return name + of


def _kind(model: type) -> object:
    field = fields(model).get("kind")
    return field.default if field else None


# --- what people call the fields, in the words of the forms

EVERYWHERE: Mapping[str, str] = {
    "accepted_by": "who accepts it for the client",
    "agreed_by": "who agreed to it",
    "fingerprint": "fingerprint of the record",
    "location": "place",
    "media_type": "format of the file",
    "part": "kind of part",
    "serial": "serial number",
    "sha256": "hash of the file",
    "size": "size of the file",
}
"""What a field is called wherever it stands, unless its kind of entry says otherwise.

A field whose own name is the word that people use needs no row, here or there.
"""

OF_KIND: Mapping[str, Mapping[str, str]] = {
    "Accuracy": {
        "percent": "accuracy in percent of the reading",
        "absolute": "fixed part of the accuracy",
        "repeatability_percent": "repeatability in percent of the reading",
        "repeatability_absolute": "fixed part of the repeatability",
    },
    "ChecklistSet": {"files": "checklist files"},
    "Correction": {
        "corrects": "entry that is corrected",
        "replacement": "what it should have been",
        "reason": "reason of the correction",
        "undoes": "entry that is taken back",
    },
    "Design": {"text": "wall file", "reason": "reason of the revision"},
    "DocumentIssued": {
        "number": "number of the document",
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
    "FaultFound": {"fault": "kind of fault", "seen_on": "what it was seen on"},
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
    },
    "InstrumentChosen": {"units": "unit"},
    "JobOpened": {"name": "name of the job", "reference": "order or contract number"},
    "LimitChanged": {"reason": "reason of the change"},
    "LimitsFrozen": {"limits": "limit"},
    "Note": {"text": "note"},
    "PartFitted": {
        "replaces": "serial number of the part taken out",
        "from_spares": "taken from the spares",
    },
    "Person": {"phone": "phone number", "mail": "mail address"},
    "Photo": {"name": "name of the file", "about": "fault that it shows"},
    "ReadingTaken": {
        "field": "what is read",
        "value": "reading",
        "meter_time": "time that the meter wrote",
        "photo": "photograph that it was read from",
        "again": "further reading",
        "odd": "why the value was asked about",
    },
    "ScopeAgreed": {"size": "scope", "checks": "check"},
    "ResultsKept": {"checks": "check"},
    "SettingLogged": {"value": "value of the setting"},
    "Signature": {
        "name": "name of who signs",
        "exceptions": "number of exceptions",
        "strokes": "signature as drawn",
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
    "TableMapping": {"name": "name of the mapping"},
    "VisitBegun": {
        "name": "name of the visit",
        "reason": "reason of the visit",
        "hours_run": "hours run",
    },
}


def field_name(model: str, field: str) -> str:
    """Return what people call a field of a kind of entry."""
    return OF_KIND.get(model, {}).get(field) or EVERYWHERE.get(field, field)
