"""From what a technician types to a field's value, and to the unit of a field."""

from __future__ import annotations

import re

from commission_tui.checks.model.definition import FieldDefinition
from commission_tui.checks.model.types import Value
from commission_tui.checks.model.vocabulary import FIELD_UNITS
from commission_tui.engineering.numeric.quantity_text import parse_quantity
from commission_tui.engineering.numeric.units import known_unit
from commission_tui.engineering.viewing.camera import parse_shutter_s
from commission_tui.errors import InputError, did_you_mean
from commission_tui.figures import unit_word
from commission_tui.text import quoted
from commission_tui.wall.model.wall_model import Wall

_NUMBERS = re.compile(r"(?:[-+]?\.?\d.*(?:[\t;]|  )|\d{1,3}[.):]\s)\s*[-+]?[.,]?\d.*")
"""A tab, which a field of a screen shows as two spaces, parts columns; so does ``1.`` of a numbered list."""
_COORDINATE = re.compile(r"0?[.,]\d+")
_LABELLED = re.compile(r"x *[=:]? *(?P<x>\S+?)[\s;,/]+y *[=:]? *(?P<y>\S+)", re.IGNORECASE)
_LIKE_COORDINATE = re.compile(r"[.,]\d|\d{3}")
_LIKE_SIDES = re.compile(r"\d.*?(?:[x×*;/]|\bby\b).*\d", re.IGNORECASE)
_SIDES = re.compile(
    r"(?P<across>\d[\d.,]*)\s*(?P<unit>[^\W\d]*?)\s*(?:[x×*]|\bby\b)\s*"
    r"(?P<down>\d[\d.,]*)\s*(?P<last>[^\W\d]*)",
    re.IGNORECASE,
)
_NAMED = re.compile(r"(?![eEkKMR](?:[\d+-]|$))[^\d\s.,+\-−]")
"""A sign that is of a unit: of no exponent, and of no letter code such as 3k2."""
_BOUND = re.compile(r"(?P<sign>[<>≤≥]) *=? *(?P<number>\S.*)")


def typed_value(item: FieldDefinition, text: str, wall: Wall, place: str) -> Value:
    """Return a field's value at a place from text; a number may carry its own unit (`65fc`, `12'6"`).

    A time at a camera may be its shutter as it shows it: `1/50`, `180°`. A choice may also be given
    by its number, from 1, or by letters that begin only one of them.

    Raises
    ------
    InputError
        When the text is ambiguous or has no meaning for the field.
    """
    cleaned = text.strip()
    if item.kind == "number":
        camera = next((c for c in wall.file.cameras if place.startswith(c.name)), None)
        if _NUMBERS.fullmatch(cleaned):  # two columns of a table; no space parts thousands there
            raise InputError(
                f"{item.label}: {quoted(cleaned)}: two numbers on one line; expected one"
            )
        if bound := _BOUND.fullmatch(cleaned):  # against a limit on the other side it says nothing
            limit = "least" if bound["sign"] in ">≥" else "largest"
            raise InputError(
                f"{item.label}: {quoted(cleaned, 20)} is a bound: where the limit is a {limit} value, "
                f"type {bound['number'][:20]} and add a note; else read in another range"
            )
        try:
            if camera is not None and item.unit == "s":
                return item.accept(parse_shutter_s(cleaned, camera.frame_rate_hz))
            return item.accept(parse_quantity(cleaned, item.unit or _labelled_unit(item)))
        except ValueError as error:
            raise InputError(f"{item.label}: {error}") from None
    return item.accept(_chosen(item.choices, cleaned) if item.kind == "choice" else cleaned)


def _labelled_unit(item: FieldDefinition) -> str:
    """Return the unit that a label ends with behind a comma, of a field that names none itself."""
    _, comma, last = item.label.rpartition(", ")
    return last if comma and known_unit(last) is not None else ""


def typed_number(what: str, text: str, unit: str = "") -> float | None:
    """Return a number in a unit from a line of a form, read as a value of a check is; None for nothing.

    Raises
    ------
    InputError
        Naming `what` is asked for, when the text is ambiguous or no number.
    """
    if not text.strip():
        return None
    try:
        return parse_quantity(text.strip(), unit)
    except ValueError as error:
        raise InputError(f"{what}: {error}") from None


def names_unit(text: str) -> bool:
    """Whether a number was typed with its unit."""
    return bool(_NAMED.search(text.strip()))


def xy_pair(text: str) -> tuple[str, str] | None:
    """Return x and y typed or pasted on one line; None for what is not surely these two."""
    labelled = _LABELLED.fullmatch(text.strip())
    parts = [*labelled.groups()] if labelled else _parted(text)
    if len(parts) != 2 or not all(map(_COORDINATE.fullmatch, parts)):
        return None
    return parts[0], parts[1]


def _parted(text: str) -> list[str]:
    """Part a line of two coordinates, where a comma may be a decimal sign."""
    return re.split(r"[\s;,/]+" if "." in text else r"[\s;/]+|,\s+", text.strip())


def is_like_xy(text: str) -> bool:
    """Whether a line that is no pair names x and y all the same, such as ``0.3142/0.331O``."""
    return sum(_LIKE_COORDINATE.search(part) is not None for part in _parted(text)) > 1


def is_like_size(text: str) -> bool:
    """Whether a line that is no pair names two sides all the same, such as ``l920x1080``."""
    return _LIKE_SIDES.search(text) is not None


def size_pair(text: str) -> tuple[str, str] | None:
    """Return the two sides of ``1000x800``, ``1000 × 800`` or ``12 by 4 m``, each with its unit; else None."""
    found = _SIDES.fullmatch(text.strip())
    if found is None:
        return None
    first, second = found["unit"] or found["last"], found["last"] or found["unit"]
    return f"{found['across']} {first}".strip(), f"{found['down']} {second}".strip()


def _chosen(choices: tuple[str, ...], text: str) -> str:
    if (
        text.isdecimal()
        and len(text) < 4
        and 1 <= int(text) <= len(choices)
        and text not in choices
    ):
        return choices[int(text) - 1]
    begun = [choice for choice in choices if text and choice.lower().startswith(text.lower())]
    exact = [choice for choice in begun if choice.lower() == text.lower()]
    return (exact or begun)[0] if len(exact or begun) == 1 else text


def unit_hint(item: FieldDefinition) -> str:
    """Say what the field takes: the unit, y or n, a date, or the choices by number."""
    if item.kind == "yes-no":
        return "y or n"
    if item.kind == "choice":
        return "  ".join(f"{n} {choice}" for n, choice in enumerate(item.choices, start=1))
    if item.kind == "date":
        return "a date such as 2026-11-28"
    if item.unit == "grade":
        return f"grade {item.low:g} to {item.high:g}"
    return unit_word(item.unit) or item.unit


def without_label(error: str, item: FieldDefinition) -> str:
    """Return what is wrong with a typed value; what was asked for stands above it already."""
    return error.removeprefix(f"{item.label}: ")


def canonical_unit(typed: str) -> str:
    """Return the unit of a field that is meant: ``cd/m²`` and ``nits`` are ``cd/m2``.

    Raises
    ------
    InputError
        When no field of any check is read in it.
    """
    if typed and typed in FIELD_UNITS:
        return typed
    meant = known_unit(typed)
    for unit in FIELD_UNITS - {""}:
        if (known_unit(unit) is meant) if meant else (unit.casefold() == typed.casefold()):
            return unit
    raise InputError(
        f"unit: found {quoted(typed)}, expected one such as cd/m2{did_you_mean(typed, FIELD_UNITS)}"
    )
