"""Asks whether a unit or a decimal point slipped, where something tells how large a value should be.

What stands beside it, the grey steps, the first visit, the target or a limit: the first of them there is.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from commission_tui.checks.model.definition import FieldDefinition
from commission_tui.checks.places.places import grey_steps_of
from commission_tui.logbook.judging.agreed_limits import limits_of
from commission_tui.logbook.judging.outcomes import baseline_at
from commission_tui.logbook.state.state import State
from commission_tui.wall.model.file_model import Input

Lookup = Callable[[str], float | None]
"""Place to the number that now stands there, of one field."""
FAINT_CD_M2 = 1.0
"""Below it the room moves the reading by as much."""
_ALIKE, _APART = 0.25, 0.05
"""How far apart, as a logarithm of their ratio, numbers beside one another lie where they are alike
by nature, and how near to a named ratio they must be where they are not (common practice, no
published source)."""
LEAST_ALIKE = {"cd/m2": FAINT_CD_M2, "lx": 10.0, "V": 0.0, "N·m": 0.0, "kN": 0.0, "ms": 0.0}
"""Units in which numbers beside one another are alike, from a level on: a dark one varies tenfold."""
_ANY_SIZE = frozenset({"", "count", "grade", "xy", "%", "°C", "dB", "dBA", "dBm", "IRE"})
"""Units in which ten times as much is nothing odd, or a ratio means nothing."""
_RESISTANCES = frozenset({"ohm", "MΩ"})
_TENFOLD = 10.0
_LEAST_STEP = 10.0
"""Percent of signal from which a grey step follows from another by the wall's curve alone."""


def target_of(state: State, check: str, item: FieldDefinition) -> float | None:
    """Return the target that a field is held against: itself, or by the mean of its readings."""
    definition = state.checklist.check(check)
    alike = next(field for field in definition.fields if field.unit == item.unit)
    for limit in definition.limits:
        is_about = limit.minus_percent is not None and limit.unit == item.unit and alike is item
        if limit.from_target and (limit.from_target == item.name or is_about):
            found = getattr(state.wall.file.targets, limit.from_target, None)
            return float(found) if isinstance(found, int | float) and found > 0 else None
    return None


def asked_of_size(
    state: State,
    check: str,
    item: FieldDefinition,
    place: str,
    value: float,
    beside: list[float],
    there: Lookup,
    *,
    unit_named: bool,
) -> str:
    """Ask about a unit or a decimal point where other readings, the target or a limit tell the size.

    `unit_named` says that the value was typed with its unit, which is then no other.
    """
    others, name = beside, "beside it"
    by_curve = _by_curve(state, item, place, there)
    if by_curve is not None:
        others, name = [by_curve], "that the step beside it gives"
    elif not others and (first := _first_resistance(state, check, item, place)) is not None:
        others, name = [first], "of the first visit"
    elif not others and (target := target_of(state, check, item)) is not None:
        others, name = [target], "aimed at"
    if not others:
        return _against_limit(state, check, item, value)
    # Here, not at the top: it brings in arrays, which every start would pay for.
    from commission_tui.engineering.numeric.typing_slips import find_slip

    spread = _spread(item.unit, others) if by_curve is None else _ALIKE
    of_unit = "" if unit_named else item.unit or None
    found = find_slip(value, others, of_unit, spread=spread, beside=name)
    if found is None:
        return ""
    unit = f" {item.unit}" if item.unit not in ("", "count", "xy") else ""
    return f"{found.text} it would be {found.would_be:.4g}{unit}"


def _by_curve(state: State, item: FieldDefinition, place: str, there: Lookup) -> float | None:
    """Return the luminance of a grey step that the nearest one read gives by the wall's exponent."""
    steps = grey_steps_of(item.where, place, state.wall) if item.unit == "cd/m2" else {}
    at = next((signal for signal, p in steps.items() if p == place), 0.0)
    read = {
        signal: level for signal, p in steps.items()
        if p != place and signal >= _LEAST_STEP and (level := there(p)) is not None and level > 0
    }  # fmt: skip
    if at < _LEAST_STEP or not read:
        return None
    near = min(read, key=lambda signal: abs(signal - at))
    return float(read[near] * (at / near) ** state.wall.file.targets.grey_exponent)


def _first_resistance(state: State, check: str, item: FieldDefinition, place: str) -> float | None:
    """Return the resistance that the first visit read here, at a later one."""
    first = baseline_at(state, check, item.name, place) if item.unit in _RESISTANCES else None
    return None if first is None or isinstance(first.value, bool | str) else first.value


def _against_limit(state: State, check: str, item: FieldDefinition, value: float) -> str:
    """Ask about a resistance that is tenfold beyond its limit: mostly it is the decimal sign."""
    limit = limits_of(state, check).get(item.name) if item.unit in _RESISTANCES else None
    if limit is None or value <= 0:
        return ""
    if limit.high and value / limit.high >= _TENFOLD:
        beyond, bound = f"{value / limit.high:.3g} times", f"{limit.high:g} agreed at most"
    elif limit.low and limit.low / value >= _TENFOLD:
        beyond, bound = f"1/{limit.low / value:.3g} of", f"{limit.low:g} agreed at least"
    else:
        return ""
    return f"{value:g} {item.unit} is {beyond} the {bound}: are unit and decimal sign right?"


_DESIGNED: Mapping[str, Callable[[Input], float]] = {
    "width_px": lambda source: source.width_px,
    "preferred_width_px": lambda source: source.width_px,
    "height_px": lambda source: source.height_px,
    "preferred_height_px": lambda source: source.height_px,
    "frame_rate_hz": lambda source: source.frame_rate_hz,
    "preferred_hz": lambda source: source.frame_rate_hz,
}
"""By the field that is read of an input, what the design says of it."""


def against_input(state: State, item: FieldDefinition, place: str, value: float) -> str:
    """Ask about a number of an input's signal that is ten times, or a tenth of, what it is designed for."""
    if item.where != "input":
        return ""
    wanted = _DESIGNED.get(item.name)
    source = next((one for one in state.wall.file.inputs if one.name == place), None)
    if wanted is None or source is None or value <= 0:
        return ""
    designed = wanted(source)
    if 1 / _TENFOLD < value / designed < _TENFOLD:
        return ""
    unit = f" {item.unit}" if item.unit else ""
    return (
        f"{value:g}{unit} where this input is designed for {designed:g}: is that the right number?"
    )


def _spread(unit: str, others: list[float]) -> float | None:
    """Return how far apart such numbers may lie by nature; None where a single one says nothing."""
    least = LEAST_ALIKE.get(unit)
    if unit in _ANY_SIZE or (least is not None and min(others) < least):
        return None
    return _APART if least is None else _ALIKE
