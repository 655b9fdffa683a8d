"""What a model of pydantic finds wrong, in plain words: what was found and what was expected."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime, time
from typing import Any

from pydantic import BaseModel
from pydantic.dataclasses import is_pydantic_dataclass
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from commission_tui.text import clipped, quoted

_LONGEST_NUMBER = 40

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
    **dict.fromkeys(("dataclass_type", "dict_type", "model_type"), "a table"),
    **dict.fromkeys(("finite_number", "float_parsing", "float_type"), "a number"),
    **dict.fromkeys(("int_from_float", "int_parsing", "int_type"), "a whole number"),
    "int_parsing_size": "a smaller number",
    "json_invalid": "JSON",
    "missing": "a value",
    "string_too_short": "some text",
    "string_type": "text",
    "string_unicode": "UTF-8 (see LANG)",
    "tuple_type": "a list",
    "union_tag_invalid": "a kind of entry that is known",
    "union_tag_not_found": "a kind of entry",
}
_BOUNDED: Mapping[str, str] = {
    "greater_than": "more than {gt:.15g}",
    "greater_than_equal": "{ge:.15g} or more",
    "less_than": "less than {lt:.15g}",
    "less_than_equal": "at most {le:.15g}",
    "string_too_long": "at most {max_length}",
    "too_long": "at most {max_length}",
    "too_short": "at least {min_length}",
}
_SHAPES: Mapping[str, str] = {
    "^[0-9a-f]{64}$": "a hash of 64 digits and letters a to f",
    "^[0-9a-f]{8}(-": "the id of an entry",
    r"^[a-z0-9]+(-[a-z0-9]+)*\.": "a check and its field, such as flatness.step_mm",
    "^[a-z0-9]+(-[a-z0-9]+)*$": "small letters a to z, digits and single hyphens",
    "^[a-z][a-z0-9_]*$": "small letters a to z, digits and underscores",
    "^[A-Z]{1,3}[0-9]": "a code such as B4",
    r"^\d{4}-\d\d-\d": "a time in UTC such as 2026-05-31T12:00:00.000Z",
    r"^\d{1,3}": 'text such as "2.5"',
    r"^\d{1,5}": 'text such as "16:9"',
    "^[A-Z]{2}": 'text such as "GB"',
}


def found(error: ErrorDetails) -> str:
    """Show a value as the person who wrote it knows it."""
    value = error["input"]
    if (
        error["type"] == "missing"
        or value is None
        or (isinstance(value, str) and not value.strip())
    ):
        return "nothing"
    if error["type"] == "string_pattern_mismatch" and error["ctx"]["pattern"].startswith("^[^"):
        return "characters that cannot be printed"
    if error["type"] == "json_invalid":
        return "no JSON"
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
        return quoted(value)
    if isinstance(value, int | float | date | datetime | time):
        return clipped(str(value), _LONGEST_NUMBER)
    if isinstance(value, Mapping) or is_pydantic_dataclass(type(value)):
        return "an empty table" if value == {} else "a table"
    if isinstance(value, Sequence | frozenset | set):
        return "a list" if len(value) else "an empty list"
    return "something else"


def expected(error: ErrorDetails) -> str:
    """Say what fits, in no words of the library that checks."""
    kind, context = error["type"], error.get("ctx", {})
    if kind == "value_error":  # raised by a model of ours, which says it
        return str(context["error"]).rpartition(", expected ")[
            2
        ]  # what was found is said beside it
    if kind == "string_pattern_mismatch":
        return shape(context["pattern"]) or "plain text"
    if kind == "literal_error":
        return "yes" if context["expected"] == "True" else str(context["expected"])
    if kind in _BOUNDED:
        return _BOUNDED[kind].format(**context)
    return _FIXED.get(kind, "something else")


def shape(pattern: str) -> str:
    """Say what text a pattern takes; nothing where any printable text fits."""
    return next((words for start, words in _SHAPES.items() if pattern.startswith(start)), "")


def fields(model: type) -> Mapping[str, FieldInfo]:
    """Return the fields of a model, or of a dataclass that is checked, by name."""
    if issubclass(model, BaseModel):
        return model.model_fields
    return model.__pydantic_fields__ if is_pydantic_dataclass(model) else {}


def models(annotation: Any) -> list[type]:
    """Return every model, and every dataclass that is checked, that an annotation may hold."""
    if isinstance(annotation, type) and fields(annotation):
        return [annotation]
    inner = getattr(annotation, "__args__", ())
    return [model for part in inner for model in models(part)]
