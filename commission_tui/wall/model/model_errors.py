"""What a model found wrong with a file, in the words of the file: key, found, expected."""

from __future__ import annotations

import datetime
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from commission_tui.errors import did_you_mean

_MOST_LINES = 200


def printable(text: str) -> str:
    """Write what does not show, or would move the cursor, as an escape."""
    return "".join(
        letter if letter.isprintable() else letter.encode("unicode_escape").decode("ascii")
        for letter in text
    )


def describe_all(error: ValidationError, model: type[BaseModel]) -> tuple[str, ...]:
    """Return a line for each of the first 200 things that are wrong, misspelt keys first.

    A hostile file holds half a million of them; nobody reads those.
    """
    return tuple(dict.fromkeys(described(one, model) for one in complaints(error)[:_MOST_LINES]))


def complaints(error: ValidationError) -> list[ErrorDetails]:
    """Return the complaints; a list whose items are wrong is not too short as well."""
    every = error.errors(include_url=False)
    holders = {one["loc"][:depth] for one in every for depth in range(len(one["loc"]))}
    left = [one for one in every if one["type"] != "too_short" or one["loc"] not in holders]
    # A misspelt key is also a missing one; its own name says more.
    return sorted(left, key=lambda one: one["type"] != "extra_forbidden")


def described(error: ErrorDetails, model: type[BaseModel]) -> str:
    where = printable(_dotted(error["loc"]))
    if error["type"] == "extra_forbidden":
        hint = did_you_mean(str(error["loc"][-1]), _keys_at(model, error["loc"][:-1]))
        return f"{where}: unknown key{hint}"
    if error["type"] == "missing":
        return f"{where}: missing, expected a value"
    return f"{where}: found {_found(error['input'])}, expected {_expected(error)}"


_EXPECTED = {
    "bool_type": "true or false",
    "dict_type": "a table",
    "float_type": "a number",
    "int_from_float": "a whole number",
    "int_type": "a whole number",
    "model_type": "a table",
    "string_too_short": "some text",
    "string_type": "text in quotes",
    "tuple_type": "a list",
}
_EXPECTED_KEYS = {
    "pitch_mm": "a pitch as printed, in quotes, such as '2.5'",
    "aspect": "an aspect ratio in quotes such as '16:9'",
}


def _expected(error: ErrorDetails) -> str:
    """Say what a key takes in the words of the file, not of the checking library."""
    key = str(error["loc"][-1])
    if error["type"] in ("string_type", "string_pattern_mismatch") and key in _EXPECTED_KEYS:
        return _EXPECTED_KEYS[key]
    if error["type"] == "string_pattern_mismatch" and error["ctx"]["pattern"].startswith("^[^"):
        return "text without control characters"
    message = error["msg"].removeprefix("Input should be ").removeprefix("Value error, ")
    message = message.removeprefix("String should have ")
    return _EXPECTED.get(error["type"], message)


def _found(value: object) -> str:
    """Show a value as the file has it."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, (datetime.date, datetime.time)):
        return value.isoformat()
    if isinstance(value, dict):
        return "a table"
    found = repr(value)
    return found if len(found) <= 60 else found[:57] + "..."


def _dotted(loc: tuple[int | str, ...]) -> str:
    text = ""
    for part in loc:
        text += f"[{part + 1}]" if isinstance(part, int) else f".{part}"
    return text.lstrip(".")


def _keys_at(model: type[BaseModel], loc: tuple[int | str, ...]) -> list[str]:
    """Follow a location through the models to the table whose keys are known there."""
    current: Any = model
    for part in loc:
        fields = getattr(current, "model_fields", None)
        if fields and part in fields:
            current = _inner_model(fields[part].annotation) or current
    return list(getattr(current, "model_fields", {}))


def _inner_model(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for inner in getattr(annotation, "__args__", ()):
        if found := _inner_model(inner):
            return found
    return None
