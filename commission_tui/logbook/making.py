"""Making entries' bodies, with one plain line for what does not fit."""

from __future__ import annotations

from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from commission_tui.errors import InputError

M = TypeVar("M", bound=BaseModel)


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
        first = error.errors(include_url=False)[0]
        where = ".".join(str(part) for part in first["loc"]) or model.__name__
        if first["type"] == "string_pattern_mismatch":
            raise InputError(
                f"{where.replace('_', ' ')}: found characters that cannot be printed, expected plain text"
            ) from None
        if first["type"] == "string_unicode":
            raise InputError(
                f"{where.replace('_', ' ')}: found bytes that are not text here, expected UTF-8 "
                "(see LANG)"
            ) from None
        found = "" if first["type"] == "missing" else f"found {str(first['input'])[:40]!r}, "
        expected = first["msg"].removeprefix("Input should be ").removeprefix("String should have ")
        raise InputError(f"{where.replace('_', ' ')}: {found}expected {expected}") from None
