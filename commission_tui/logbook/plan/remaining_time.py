"""The time that is left, as somebody types it."""

from __future__ import annotations

import re

from commission_tui.engineering.numeric.quantity_text import parse_quantity
from commission_tui.errors import InputError
from commission_tui.text import quoted

_TIME = re.compile(
    r"(?:(?P<hours>\d+(?:[.,]\d+)?) *h(?:rs?|ours?|ou?)?)?"
    # A word that is being typed is no other word yet.
    r" *(?:(?P<minutes>\d+(?:[.,]\d+)?) *(?:m|mi|mins?|minut?|minutes?)?)?",
    re.ASCII,
)


def typed_minutes(text: str) -> float:
    """Read minutes, with their unit or without, and hours as ``1h``, ``1,5 h`` or ``1h30``.

    Raises
    ------
    InputError
        When it is no time.
    """
    time = _TIME.fullmatch(text.strip().lower())
    if time is None or not any(time.groups()):
        raise InputError(
            f"minutes: found {quoted(text, 20)}, expected a time such as 40, 90 min or 1,5 h"
        )
    try:
        hours, minutes = (parse_quantity(part or "0", "") for part in time.groups())
    except ValueError as error:
        raise InputError(f"minutes: {error}") from None
    return 60 * hours + minutes
