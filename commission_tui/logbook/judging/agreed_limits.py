"""The limits a job is judged by: the contract's, the maker's, the checklist's; frozen in time.

They are written down, with who says so, before the first reading of a check is. A later revision of
the wall file or of the checklist does not move them; only an entry that says who agreed, and why.
"""

from __future__ import annotations

from commission_tui.checks.evaluation import default_limits
from commission_tui.checks.model.types import Limit
from commission_tui.errors import InputError
from commission_tui.figures import exact
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.entries.entry_parts import FrozenLimit
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.entries.models import LimitChanged, LimitsFrozen
from commission_tui.logbook.state.state import State
from commission_tui.text import quoted

_SLIP = 10
"""From so many times the limit before on, or from this part of it down, a new one is asked about."""


def limits_of(state: State, check: str) -> dict[str, Limit]:
    """Return the limits in force for a check, by name."""
    limits = limits_at_first(state, check)
    for change in limit_changes(state, check):
        limits[change.body.limit.name] = as_limit(state, check, change.body.limit)
    return limits


def limits_at_first(state: State, check: str) -> dict[str, Limit]:
    """Return the limits of a check as they were frozen, or will be, by name: before any agreed anew."""
    found = _frozen(state, check)
    if found is None:
        return limits_designed(state, check)
    return {item.name: as_limit(state, check, item) for item in found.body.limits}


def limits_designed(state: State, check: str) -> dict[str, Limit]:
    """Return what wall file and checklist say now, by name."""
    return default_limits(state.checklist.check(check), state.wall)


def agreed_after_freezing(state: State, check: str) -> list[Logged[LimitChanged]]:
    """Return the limits of a check that were agreed anew once they were frozen, oldest first."""
    found = _frozen(state, check)
    return [one for one in limit_changes(state, check) if found is not None and one.id > found.id]


def frozen_at(state: State, check: str) -> str | None:
    """Return when the limits of a check were frozen; None before its first reading."""
    found = _frozen(state, check)
    return None if found is None else found.at


def freezing_body(state: State, check: str) -> LimitsFrozen | None:
    """Make the entry that freezes a check's limits; None when they are frozen already."""
    if _frozen(state, check) is not None:
        return None
    limits = [
        FrozenLimit(
            name=limit.name,
            unit=limit.unit,
            low=limit.low,
            high=limit.high,
            source=limit.source,
            standing=limit.standing,
        )
        for limit in limits_of(state, check).values()
    ]
    return LimitsFrozen(check=check, limits=tuple(limits))


def slipped_bound(new: float | None, before: float | None) -> str:
    """Ask about a bound that is another order of magnitude than the one in force; nothing where it is not."""
    # Rounded, since 0.7 in place of 7 is a tenth only but for the last binary digit.
    if not new or not before or 1 / _SLIP < round(new / before, 9) < _SLIP:
        return ""
    return f"{new:.10g} in place of {before:.10g}"


def limit_body(
    state: State,
    check: str,
    name: str,
    *,
    low: float | None,
    high: float | None,
    source: str,
    agreed_by: str,
    reason: str,
) -> LimitChanged:
    """Make the entry that agrees a limit anew; one without a bound may be agreed to stay a record.

    Raises
    ------
    InputError
        When the check has no such limit, both sides of one that has a bound are missing, low is above
        high, or one is below 0 of what never is: such a lower limit could not fail.
    """
    known = {item.name: item for item in state.checklist.check(check).limits}
    if name not in known:
        raise InputError(
            f"limit: found {quoted(name)}, expected one of {', '.join(known) or 'none'} "
            f"(check {check})"
        )
    now = limits_of(state, check).get(name)
    bounded = now is not None and not (now.low is None and now.high is None)
    if low is None and high is None and bounded:
        raise InputError(f"{known[name].label}: found neither low nor high, expected at least one")
    below = [said for said in (low, high) if said is not None and said < 0]
    never = known[name].unit in _NEVER_BELOW_0 and (now is None or not _goes_below_0(now))
    if below and never:
        raise InputError(
            f"{known[name].label}: found {exact(below[0])}, expected a number from 0 on: what it limits is never below 0"
        )
    if low is not None and high is not None and low > high:
        raise InputError(f"{known[name].label}: found low {exact(low)} above high {exact(high)}")
    return body(
        LimitChanged,
        check=check,
        limit={
            "name": name,
            "unit": known[name].unit,
            "low": low,
            "high": high,
            "source": source,
            "standing": "contract",
        },
        agreed_by=agreed_by,
        reason=reason,
    )


_NEVER_BELOW_0 = frozenset(
    {"", "count", "cd/m2", "lx", "Hz", "V", "mA", "kW", "h", "ohm", "MΩ"}
)  # fmt: skip
"""Units of limits whose figures are amounts, or shares of one; a limit below 0 that is there says otherwise."""


def _goes_below_0(limit: Limit) -> bool:
    return any(bound is not None and bound < 0 for bound in (limit.low, limit.high))


def limits_moved(state: State, check: str) -> tuple[tuple[Limit, Limit], ...]:
    """Return the frozen limits in force that wall file and checklist now give otherwise: frozen, and now."""
    if _frozen(state, check) is None:
        return ()
    now = limits_designed(state, check)
    anew = {change.body.limit.name for change in agreed_after_freezing(state, check)}
    return tuple(
        (limit, now[name])
        for name, limit in limits_at_first(state, check).items()
        if name in now and name not in anew and str(limit) != str(now[name])
    )


def as_limit(state: State, check: str, item: FrozenLimit) -> Limit:
    """Return a limit as logged, under the label that the checklist gives it."""
    known = state.checklist.check(check).limits if check in state.checklist else ()
    label = next((one.label for one in known if one.name == item.name), item.name)
    return Limit(item.name, item.unit, item.source, item.standing, item.low, item.high, label=label)


def _frozen(state: State, check: str) -> Logged[LimitsFrozen] | None:
    for logged in state.limits.get(check, ()):
        if isinstance(logged.body, LimitsFrozen):
            return logged
    return None


def limit_changes(state: State, check: str) -> list[Logged[LimitChanged]]:
    """Return the limits of a check that were agreed anew, oldest first."""
    return [
        logged for logged in state.limits.get(check, ()) if isinstance(logged.body, LimitChanged)
    ]
