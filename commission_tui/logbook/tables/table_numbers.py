"""How a table writes its numbers: which sign begins the decimals, and whether the other parts thousands."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass

from commission_tui.engineering.numeric.units import known_unit
from commission_tui.errors import InputError
from commission_tui.text import quoted

_OTHER = {",": ".", ".": ","}
"""The sign that parts thousands where a sign begins the decimals, and the other way round."""
_ONE_SIGN = re.compile(r"[+-]?(?P<whole>\d+)(?P<sign>[.,])(?P<rest>\d+)")
_GROUPS = {
    sign: re.compile(rf"[+-]?[1-9]\d{{0,2}}(?:{re.escape(sign)}\d{{3}})+(?:{re.escape(other)}\d+)?")
    for sign, other in _OTHER.items()
}
"""By the sign that parts the thousands."""
_WITH_UNIT = re.compile(
    r"(?P<number>[+-]?[.,]?\d[\d.,]*(?:[eE][+-]?\d+)?)\s*(?P<unit>[^\d\s.,+-].{0,19})"
)


class UnclearNumberError(InputError):
    """A number that somebody must say how to read: whether its comma begins decimals."""


@dataclass(frozen=True, slots=True)
class NumberStyle:
    """The sign before the decimals, and whether it is sure, so that the other parts thousands."""

    decimal: str = "."
    sure: bool = False
    mixed: bool = False
    """Whether both signs begin decimals in it: then only what can be read one way is read."""

    @property
    def other(self) -> str:
        return _OTHER[self.decimal]

    def is_grouped(self, text: str) -> bool:
        """Whether a number has its thousands parted."""
        return self.sure and _GROUPS[self.other].fullmatch(text) is not None

    def number(self, text: str) -> float:
        """Read a number; not a number (nan) for what is none.

        Raises
        ------
        UnclearNumberError
            When it has a sign that this style has no place for.
        """
        if self.mixed and (sign := shown_decimal(text)) is not None:
            if not sign:
                raise UnclearNumberError(
                    f"value: found {quoted(text)}, which may be thousands or decimals"
                )
            return NumberStyle(sign, sure=True).number(text)
        plain = text.replace(self.other, "") if self.is_grouped(text) else text
        if self.other in plain and shown_decimal(plain) is not None:
            raise UnclearNumberError(f"value: found {quoted(text)}, {self._why_not(plain)}")
        try:
            return math.nan if "_" in plain else float(plain.replace(self.decimal, "."))
        except ValueError:
            return math.nan

    def _why_not(self, text: str) -> str:
        if self.decimal == ",":
            return "expected a decimal comma, not a point"
        if shown_decimal(text) == "":
            return "whose comma may part thousands or decimals"
        return "expected a decimal point, not a comma"


def number_and_unit(text: str, expected: str = "") -> tuple[str, str]:
    """Part ``43,3 fL`` into number and unit, one that is known or expected; all else has no unit."""
    found = _WITH_UNIT.fullmatch(text)
    if found is None:
        return text, ""
    unit = found["unit"]
    known = known_unit(unit) is not None or (expected and unit.casefold() == expected.casefold())
    return (found["number"], unit) if known else (text, "")


def is_one_unit(one: str, other: str) -> bool:
    """Whether two spellings mean the same unit."""
    return one.casefold() == other.casefold() or known_unit(one) is known_unit(other) is not None


def shown_decimal(text: str) -> str | None:
    """Return the sign that begins the decimals, where a number alone tells it.

    Nothing where the sign may part thousands as well; None where it is no number with such a sign.
    """
    if (one := _ONE_SIGN.fullmatch(text)) is not None:
        could_part = len(one["rest"]) == 3 and _GROUPS[one["sign"]].fullmatch(text) is not None
        return "" if could_part else one["sign"]
    parted = next((sign for sign in _OTHER if _GROUPS[sign].fullmatch(text)), None)
    return None if parted is None else _OTHER[parted]


def style_of(cells: Iterable[str]) -> NumberStyle:
    """Tell from some cells how numbers are written: surely only where none contradicts another."""
    shown = {sign for cell in cells if (sign := shown_decimal(cell))}
    if len(shown) == 1:
        return NumberStyle(shown.pop(), sure=True)
    return NumberStyle(mixed=bool(shown))
