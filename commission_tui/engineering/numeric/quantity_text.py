"""Reading a number with or without a unit, as a technician types it."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, RefusedError
from commission_tui.engineering.numeric.units import UNITS, Unit, known_unit
from commission_tui.text import quoted

_LONGEST = 64
_MOST_EXPONENT = 12
_MOST_MAGNITUDE = 10 ** (_MOST_EXPONENT + 3)
_MOST_TYPED = 6
"""Digits that somebody types of what a meter shows."""
_TOLD = 11
"""Digits of a converted value that are its own, in the last bits of which conversions differ."""
_NO_SIGNS = str.maketrans("", "", "+-.")
_TIDY = str.maketrans(
    {
        "−": "-", "–": "-", "\u00a0": " ", "\u2009": " ", "\u202f": " ",
        "′": "'", "’": "'", "″": '"', "”": '"', "“": '"',
    }
)  # fmt: skip
_DIGITS = r"[0-9]+(?: [0-9]{3})*"
_APART = re.compile(r"(?<![0-9.,])[0-9]+(?: [0-9]{3})+(?![0-9/])(?:[.,][0-9]+(?![0-9.,]))?")
"""Digits that spaces part as thousands are, which may also be the numbers of a list."""
_NUMBER = rf"(?:{_DIGITS}(?:[.,][0-9]+)*|[.,][0-9]+)(?:[eE][+-]?[0-9]+)?"
_FRACTION = r"[0-9]+/[0-9]+"
_INCHES = rf"(?:{_NUMBER}(?:[ -]+{_FRACTION})?|{_FRACTION})"
_PLAIN = re.compile(
    rf"(?P<number>{_NUMBER}) ?(?P<kilo>k(?![A-Za-z/]))? ?(?P<unit>(?![.,][0-9])[^0-9\s].*)?"
)
_CODED = re.compile(
    r"(?P<whole>[0-9]{1,6})(?P<mark>[kKMR])(?P<part>[0-9]{1,6}) ?(?P<unit>[^0-9\s].*)?"
)
_PART = re.compile(rf"(?P<whole>[0-9]+ +)?(?P<fraction>{_FRACTION}) ?(?P<unit>[^0-9\s].*)?")
_FEET = re.compile(
    rf"(?P<feet>{_NUMBER}) ?(?:'|ft\.?|feet|foot)"
    rf"(?:[ -]*(?P<inches>{_INCHES}) ?(?:\"|''|in\.?|inch|inches)?)?",
    re.IGNORECASE,
)
_ONLY_INCHES = re.compile(rf"(?P<inches>{_INCHES}) ?(?:\"|''|in\.?|inch|inches)", re.IGNORECASE)
_AUGHT = re.compile(r"(?P<noughts>[1-4])/0(?: ?(?:awg|ga|gauge))?", re.IGNORECASE)
_FRONTED = re.compile(r"(?:awg|#) ?(?P<number>[0-9]{1,2})", re.IGNORECASE)
_MARKS = {"k": 3, "K": 3, "M": 6, "R": 0}
_PREFIXED = re.compile(r"[mµukMGcd](?=[a-zA-ZΩ])")
_WHOLE_SYMBOLS = frozenset(
    {"cd/m²", "kip", "kgf", "kcmil", "min", "mm/m", "in/ft", "kg", "deg", "ppm"}
)

_TWO_MEANINGS = frozenset({"mil", "mils"})
"""A thou in American English, a millimetre in British (common practice, no published source)."""
_WEIGHT = {"kg": "kgf", "lb": "lbf"}
"""Unit of mass to the force that it weighs, as load cells show it."""
_COUNTED = {"count": ("bit", "bits")}
"""What is said of a number that counts, where it could be said of nothing else."""


def parse_quantity(text: str, unit: str) -> Annotated[float, Range("unit")]:
    r"""Read a number, convert it to the wanted unit, and refuse what can be read two ways.

    Parameters
    ----------
    text : str
        What was typed: ``700``, ``12.5 fc``, ``1,5``, ``3k2``, ``21' 6 1/2"``, ``1/60 s``, ``4/0``.
        A number alone is in the wanted unit.
    unit : str
        The wanted unit. One that the tool does not know (``px``, ``code``) takes a number alone or
        with that same unit.

    Raises
    ------
    ValueError
        No number; a comma or point that may part thousands or decimals; a multiplier that may
        belong to the unit; a unit of another quantity; a value beyond 1e15.

    Notes
    -----
    Point and comma are both decimal signs. ``1,234`` is refused because it may be a thousand, and
    so is any number with two such signs; a point before three digits is a decimal point. ``1 234`` is
    refused because it may be two numbers, such as those of a numbered list; a space that does not break
    (U+00A0, U+2009, U+202F) parts thousands. ``3k2`` is 3200 (IEC 60062 letter code).

    Examples
    --------
    >>> parse_quantity("3k2", "lx"), round(parse_quantity("65fc", "lx"), 1)
    (3200.0, 699.7)
    >>> round(parse_quantity("21' 6 1/2\"", "m"), 4)
    6.5659
    """
    shown = quoted(text, _LONGEST)
    tidy = re.sub(r"\s+", " ", text.translate(_TIDY)).strip()
    if not tidy:
        raise RefusedError(f"nothing, expected a number{_in(unit)}")
    if len(text) > _LONGEST:
        raise RefusedError(f"{shown} is not a value, expected a number{_in(unit)}")
    if apart := _APART.search(text):
        raise RefusedError(
            f"{shown} is one number of {apart[0].replace(' ', '').replace(',', '.')} or several: "
            "type one, without a space in it"
        )
    try:
        value = _signed(tidy, unit)
    except ValueError as error:
        raise RefusedError(f"{shown}: {error}") from None
    if abs(value) > _MOST_MAGNITUDE:
        raise RefusedError(
            f"{shown} is too large, expected at most 1e{_MOST_EXPONENT + 3}{_in(unit)}"
        )
    return float(value)


def digits_typed(
    value: Annotated[float, Range("unit")], unit: str
) -> Annotated[int | None, "Significant, of what was typed; None where it was typed in this unit"]:
    """Return how many digits a value had before it was converted to its unit.

    A value of few digits was typed as it is; one of many was typed in a unit in which it has few.

    Examples
    --------
    >>> digits_typed(parse_quantity("249 fL", "cd/m2"), "cd/m2"), digits_typed(853.14, "cd/m2")
    (3, None)
    """
    target = known_unit(unit)
    if target is None or len(_significant(value)) <= _MOST_TYPED:
        return None
    exact = Fraction(value)
    found = [
        len(_significant(float(other.from_base(target.to_base(exact)))))
        for other in UNITS.values()
        if other.quantity == target.quantity and not (other.is_gauge or target.is_gauge)
    ]
    return min((digits for digits in found if digits <= _MOST_TYPED), default=None)


def _significant(value: float) -> str:
    """Return a number's digits without sign, point, power of ten and leading noughts."""
    plain = f"{value:.{_TOLD}g}".partition("e")[0]
    return plain.translate(_NO_SIGNS).lstrip("0")


def _in(unit: str) -> str:
    return f" in {unit}" if unit else ""


def _signed(tidy: str, wanted: str) -> Fraction:
    sign = -1 if tidy[0] == "-" else 1
    body = tidy[1:].lstrip() if tidy[0] in "+-" else tidy
    target = known_unit(wanted)
    if target is not None and target.quantity == "length":
        length_m = _feet_and_inches(body)
        if length_m is not None:
            return target.from_base(sign * length_m)
    if target is not None and target.quantity == "area":
        gauge = _gauge(body)
        if gauge is not None:
            return _in_wanted_unit(gauge, "AWG", target, wanted)
    number, unit, scaled = _number_and_unit(body, wanted, target)
    if scaled and not unit and target is not None and _is_prefixed(target):
        raise RefusedError(
            f"may be {float(number):g} {wanted} or that of the unit without its prefix, "
            "expected the unit to be typed"
        )
    return _in_wanted_unit(sign * number, unit, target, wanted)


def _is_prefixed(unit: Unit) -> bool:
    return unit.symbol not in _WHOLE_SYMBOLS and bool(_PREFIXED.match(unit.symbol))


def _gauge(body: str) -> Fraction | None:
    """Return a wire gauge written as ``4/0`` or with the sign in front, else None."""
    aught, fronted = _AUGHT.fullmatch(body), _FRONTED.fullmatch(body)
    if aught:
        return Fraction(1 - int(aught["noughts"]))
    return Fraction(fronted["number"]) if fronted else None


def _in_wanted_unit(number: Fraction, typed: str, target: Unit | None, wanted: str) -> Fraction:
    """Turn the number into the wanted unit, by the unit that was typed with it."""
    if target is None:
        if typed.casefold() in ("", wanted.casefold(), *_COUNTED.get(wanted, ())):
            return number
        alternative = f"{wanted} or a number alone" if wanted else "a number alone"
        raise RefusedError(f"has the unit {typed!r}, expected {alternative}")
    typed = typed or wanted
    if typed == "'" and target.quantity == "angle":
        typed = "arcmin"
    source = known_unit(typed)
    if typed.casefold() in _TWO_MEANINGS:
        raise RefusedError(
            f"may be 0.001 in or a millimetre, as people say {typed}, expected thou or mm"
        )
    if source is None:
        raise RefusedError(f"has the unknown unit {typed!r}, expected {wanted}")
    if source.quantity != target.quantity:
        weighs = _WEIGHT.get(source.symbol) if target.quantity == "force" else None
        also = f", or {weighs} for the weight of that mass" if weighs else ""
        raise RefusedError(
            f"is in {source.symbol}, a unit of {source.quantity}, "
            f"expected {target.quantity} in {wanted}{also}"
        )
    base = source.to_base(number)
    return number if source.symbol == target.symbol else target.from_base(base)


def _number_and_unit(body: str, wanted: str, target: Unit | None) -> tuple[Fraction, str, bool]:
    """Return the number, the unit typed with it, and whether a letter multiplied it."""
    coded = _CODED.fullmatch(body)
    if coded:
        number = Fraction(f"{coded['whole']}.{coded['part']}") * 10 ** _MARKS[coded["mark"]]
        return number, (coded["unit"] or "").strip(), coded["mark"] != "R"
    part = _PART.fullmatch(body)
    if part and target is not None and target.quantity in ("time", "length"):
        number = _fraction(part["fraction"]) + int((part["whole"] or "0").strip())
        return number, (part["unit"] or "").strip(), False
    plain = _PLAIN.fullmatch(body)
    if plain is None:
        raise RefusedError(f"is not a value, expected a number{_in(wanted)}")
    kilo = 1000 if plain["kilo"] else 1
    return _number(plain["number"]) * kilo, (plain["unit"] or "").strip(), kilo > 1


def _number(text: str) -> Fraction:
    """Read a number with a point or a comma, refusing what may part thousands."""
    digits, _, exponent = text.replace(" ", "").lower().partition("e")
    if exponent and abs(int(exponent[:9])) > _MOST_EXPONENT:
        raise RefusedError(f"has the exponent {exponent[:9]}, expected at most {_MOST_EXPONENT}")
    if digits.count(",") + digits.count(".") > 1:
        raise RefusedError(
            "has more than one point or comma, expected one decimal sign and none for thousands"
        )
    whole, comma, decimals = digits.partition(",")
    if comma and len(decimals) == 3 and 1 <= len(whole) <= 3 and whole != "0":
        raise RefusedError(
            f"may be {whole}.{decimals} or {whole}{decimals}, "
            "expected a point for decimals and nothing for thousands"
        )
    return Fraction(digits.replace(",", ".")) * Fraction(10) ** int(exponent or 0)


def _fraction(text: str) -> Fraction:
    top, _, bottom = text.partition("/")
    if int(bottom) == 0:
        raise RefusedError("is divided by 0, expected another fraction")
    return Fraction(int(top), int(bottom))


def _feet_and_inches(body: str) -> Fraction | None:
    """Return metres when feet or inches were typed with marks or words, else None."""
    feet = _FEET.fullmatch(body)
    inches = feet or _ONLY_INCHES.fullmatch(body)
    if inches is None:
        return None
    total = _number(feet["feet"]) * 12 if feet else Fraction(0)
    if inches["inches"]:
        part = _inches(inches["inches"])
        if feet and part >= 12:
            raise RefusedError(f"has {float(part):g} inches after the feet, expected less than 12")
        total += part
    return total * UNITS["in"].factor


def _inches(text: str) -> Fraction:
    whole, fraction = "0", ""
    pieces = [piece for piece in re.split(r"[ -]+", text) if piece]
    for piece in pieces:
        if "/" in piece:
            fraction = piece
        else:
            whole = piece
    return _number(whole) + (_fraction(fraction) if fraction else 0)
