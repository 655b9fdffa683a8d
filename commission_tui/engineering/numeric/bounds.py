"""Refusal of values that have no meaning, in one wording for the whole floor.

A parameter's unit and range stand in its annotation, with its meaning where a line is enough:
``lux: Annotated[float, Range("lx", above=0), "Vertical, at the presenter"]``. `checked` holds what a
function is given to them, and `calc` shows them. Modules of such functions do without
``from __future__ import annotations``: texts would be compiled one by one at a start, which is waited
for (`tests/benchmarks/bench_screens`).
"""

from __future__ import annotations

import inspect
import math
import types
import typing
from collections.abc import Callable, Iterable, Mapping, Sized
from dataclasses import dataclass
from functools import wraps
from typing import Annotated, Any, ParamSpec, TypeVar, cast

_Given = ParamSpec("_Given")
_Result = TypeVar("_Result")
_Check = Callable[[str, Any], Any]
_NOT_NUMBERS = (bool, str, bytes, complex, type(None))


class RefusedError(ValueError):
    """A value that has no meaning where it is used: what was given is at fault, not the program."""


def _no_number(value: object) -> bool:
    """Whether a value is no real number; NumPy's truth values are told without importing it."""
    kind = type(value)
    return isinstance(value, _NOT_NUMBERS) or (
        kind.__module__ == "numpy" and kind.__name__ in ("bool", "bool_")
    )


def _unit(unit: str) -> str:
    return f" {unit}" if unit else ""


def _number(name: str, value: object, expected: Callable[[], str]) -> float:
    """Take a real number; a text, a truth value or a complex number is a slip, not a number.

    What is `expected` is put into words only where one is refused.
    """
    if _no_number(value):
        raise RefusedError(f"{name} is {value!r}, expected {expected()}")
    try:
        return float(value)  # type: ignore[arg-type]
    except (TypeError, ValueError, OverflowError):
        shown = "too large a number" if isinstance(value, int) else repr(value)
        raise RefusedError(f"{name} is {shown}, expected {expected()}") from None


def one_for_each(name: str, values: Sized, others: Sized, what: str) -> None:
    """Refuse a row that has not one value for each of another."""
    if len(values) != len(others):
        raise RefusedError(
            f"{name} has {len(values)} value(s), expected {len(others)}, one for each {what}"
        )


def summed(values: Iterable[float]) -> float:
    """Return the sum that every Python gives (`sum` compensates from 3.12 on); infinite beyond range."""
    try:
        return math.fsum(values)
    except OverflowError:
        return math.inf


def computed(name: str, value: float, unit: str) -> float:
    """Return a result, or refuse inputs so extreme that it left the range of numbers."""
    if not math.isfinite(value):
        raise RefusedError(
            f"{name} would be {value:g}{_unit(unit)}, expected a finite result: "
            "the values given are too large or too small together"
        )
    return float(value)


@dataclass(frozen=True, slots=True)
class Range:
    """The unit of a figure, of each figure of a row or of a result, and where it has a meaning."""

    unit: str = ""
    """As shown; empty for a plain number."""
    above: float | None = None
    least: float | None = None
    most: float | None = None
    below: float | None = None
    fewest: int = 1
    """Figures that a row must have."""

    @property
    def words(self) -> str:
        """The range as a person reads it: ``above 0, at most 1``; nothing where all is allowed."""
        if self.least is not None and self.most is not None:
            return f"{self.least:.10g} to {self.most:.10g}"
        limits = (
            ("above {:.10g}", self.above),
            ("{:.10g} or more", self.least),
            ("at most {:.10g}", self.most),
            ("below {:.10g}", self.below),
        )
        return ", ".join(text.format(limit) for text, limit in limits if limit is not None)

    @property
    def _allowed(self) -> str:
        """The range as a refusal says it: ``> 0 W and <= 1e6 W``; nothing where all is allowed."""
        limits = ((">", self.above), (">=", self.least), ("<=", self.most), ("<", self.below))
        return " and ".join(
            f"{sign} {limit:g}{_unit(self.unit)}" for sign, limit in limits if limit is not None
        )

    def _has(self, number: float) -> bool:
        return (
            math.isfinite(number)
            and (self.above is None or number > self.above)
            and (self.least is None or number >= self.least)
            and (self.most is None or number <= self.most)
            and (self.below is None or number < self.below)
        )

    def figure(self, name: str, value: float) -> float:
        """Return a figure as a float, or refuse it by name, value found, allowed range and unit.

        Raises
        ------
        ValueError
            NaN, infinite, not a number, or outside the range.
        """
        number = value if type(value) is float else _number(name, value, self._figure_words)
        if not self._has(number):
            raise self._refusal(name, number, self._figure_words())
        return number

    def count(self, name: str, value: float) -> int:
        """Return a whole number, or refuse a fraction, a non-number or one outside the range.

        A float that is whole (``3.0``) counts as whole.
        """
        number = _number(name, value, self._count_words)
        if not self._has(number) or not number.is_integer():
            raise self._refusal(name, number, self._count_words())
        return int(value)

    def _refusal(self, name: str, number: float, expected: str) -> RefusedError:
        return RefusedError(f"{name} is {number:g}{_unit(self.unit)}, expected {expected}")

    def _figure_words(self) -> str:
        return self._allowed or f"a finite number{' in ' + self.unit if self.unit else ''}"

    def _count_words(self) -> str:
        bare = f"of {self.unit}" if self.unit else ""
        return f"a whole number {self._allowed or bare}".rstrip()

    def row(self, name: str, values: Iterable[float]) -> tuple[float, ...]:
        """Return figures as floats, or refuse what is no row of numbers, or the figure by its place in it.

        Raises
        ------
        ValueError
            Not numbers, rows of rows, too few, NaN or infinite members, or members outside the range.
        """
        expected = f"finite numbers{' in ' + self.unit if self.unit else ''}"
        refusal = f"{name} is not a row of numbers, expected {expected}"
        is_row = isinstance(values, Iterable) and not isinstance(values, str | bytes | Mapping)
        listed: list[Any] = list(values) if is_row else [None]
        if any(_no_number(value) or hasattr(value, "__len__") for value in listed):
            raise RefusedError(refusal)
        try:
            numbers = tuple(map(float, listed))
        except (TypeError, ValueError, OverflowError):
            raise RefusedError(refusal) from None
        if len(numbers) < self.fewest:
            raise RefusedError(
                f"{name} has {len(numbers)} value(s), expected at least {self.fewest}"
            )
        for index, number in enumerate(numbers):
            if not math.isfinite(number):
                raise RefusedError(f"{name}[{index}] is {number}, expected {expected}")
        return tuple(self.figure(f"{name}[{i}]", number) for i, number in enumerate(numbers))

    def check_of(self, kind: Any) -> _Check:
        """Return what holds a parameter of a type to this range, by its name; None where it may be."""
        kinds = typing.get_args(kind) if isinstance(kind, types.UnionType) else (kind,)
        check: _Check = self.row
        if float in kinds:
            check = self.figure
        elif int in kinds:
            check = self.count
        if types.NoneType in kinds:
            return lambda name, value: None if value is None else check(name, value)
        return check


def noted(hint: Any) -> tuple[Any, Range | None, str]:
    """Return the type, the range and the meaning that an annotation gives."""
    kind, *notes = typing.get_args(hint) if typing.get_origin(hint) is Annotated else (hint,)
    limits = next((note for note in notes if isinstance(note, Range)), None)
    return kind, limits, next((note for note in notes if isinstance(note, str)), "")


def _checks(function: Callable[..., Any]) -> dict[str, _Check]:
    """Return what holds each parameter that has a range to it."""
    hints = inspect.get_annotations(function, eval_str=True)
    del hints["return"]
    kinds = {name: noted(hint) for name, hint in hints.items()}
    return {name: limits.check_of(kind) for name, (kind, limits, _) in kinds.items() if limits}


def checked(function: Callable[_Given, _Result]) -> Callable[_Given, _Result]:
    """Hold what a function is given to the ranges of its parameters, and make numbers of it.

    Raises
    ------
    ValueError
        Of the function: a figure outside its range, by name, value found, range and unit.
    """
    # Neither signature nor types are asked for at the start, which is waited for
    # (`tests/benchmarks/bench_screens`).
    code = cast("types.FunctionType", function).__code__
    places = code.co_varnames[: code.co_argcount + code.co_kwonlyargcount]
    checks: list[tuple[int, str, _Check]] = []

    @wraps(function)
    def within_ranges(*args: _Given.args, **named: _Given.kwargs) -> _Result:
        if not checks:
            found = _checks(function)
            checks.extend((places.index(name), name, check) for name, check in found.items())
        if len(args) > code.co_argcount:  # Python says so
            return function(*args, **named)
        given: list[Any] = list(args)
        for place, name, check in checks:
            if place < len(given):
                given[place] = check(name, given[place])
            elif name in named:
                named[name] = check(name, named[name])
        return function(*given, **named)

    return within_ranges
