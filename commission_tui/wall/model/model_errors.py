"""What a model found wrong with a file, in the words of the file: key, found, expected."""

from __future__ import annotations

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from commission_tui.errors import did_you_mean
from commission_tui.text import escaped
from commission_tui.validation_errors import expected, fields, found, models

MOST_LINES = 100
"""Nobody reads more of what is wrong with one file; a hostile one holds half a million."""


def describe_all(error: ValidationError, model: type[BaseModel]) -> tuple[str, ...]:
    """Return a line for each of the first things that are wrong, misspelt keys first."""
    return tuple(dict.fromkeys(described(one, model) for one in complaints(error)[:MOST_LINES]))


def complaints(error: ValidationError) -> list[ErrorDetails]:
    """Return the complaints; a list whose items are wrong is not too short as well."""
    every = error.errors(include_url=False)
    holders = {one["loc"][:depth] for one in every for depth in range(len(one["loc"]))}
    left = [one for one in every if one["type"] != "too_short" or one["loc"] not in holders]
    # A misspelt key is also a missing one; its own name says more.
    return sorted(left, key=lambda one: one["type"] != "extra_forbidden")


def described(error: ErrorDetails, model: type[BaseModel]) -> str:
    where = _dotted(error["loc"])
    if error["type"] == "extra_forbidden":
        hint = did_you_mean(str(error["loc"][-1]), _keys_at(model, error["loc"][:-1]))
        return f"{where}: unknown key{hint}"
    if error["type"] == "missing":
        return f"{where}: missing, expected a value"
    return f"{where}: found {_found(error)}, expected {_expected(error)}"


def _found(error: ErrorDetails) -> str:
    value = error["input"]
    return str(value).lower() if isinstance(value, bool) else found(error)


_AS_TOML = {"text": "text in quotes", "yes or no": "true or false"}


def _expected(error: ErrorDetails) -> str:
    fitting = expected(error)
    return _AS_TOML.get(fitting, fitting)


def _dotted(loc: tuple[int | str, ...]) -> str:
    text = ""
    for part in loc:
        text += f"[{part + 1}]" if isinstance(part, int) else f".{escaped(part)}"
    return text.lstrip(".")


def _keys_at(model: type[BaseModel], loc: tuple[int | str, ...]) -> list[str]:
    """Follow a location through the models to the table whose keys are known there."""
    current: type = model
    for part in loc:
        if part in fields(current):
            current = next(iter(models(fields(current)[str(part)].annotation)), current)
    return list(fields(current))
