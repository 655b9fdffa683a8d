"""What is wrong with a check beyond its keys: words that nothing knows, and what could never be judged."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator

from commission_tui.checks.methods import methods
from commission_tui.checks.model.definition import (
    DATE_RULES,
    CheckDefinition,
    FieldDefinition,
    LimitDefinition,
)
from commission_tui.checks.model.vocabulary import FIELD_UNITS, MAPPING, MAPPING_METHOD, ROLES
from commission_tui.checks.places.applicability import CONDITIONS
from commission_tui.checks.places.places import PER, place_kinds
from commission_tui.checks.registry import Method, current_method_name
from commission_tui.errors import InputError, did_you_mean
from commission_tui.text import escaped, quoted
from commission_tui.wall.model.contract_model import Targets
from commission_tui.wall.model.location import Location, parse_location
from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.patterns.catalogue import PATTERNS, named_in

WRITTEN_OTHERWISE = ("flash and click",)
"""Patterns that are no picture of the catalogue."""


def unknown_words(where: str, check: CheckDefinition) -> Iterator[str]:
    """Say each name in a check that nothing knows, and what its method lacks or does not take."""
    known = methods()
    method = known.get(current_method_name(check.method))
    if method is None:
        hint = did_you_mean(check.method, known)
        yield f"{where}.method: found {quoted(check.method)}, expected a method{hint}"
    for condition in check.applies:
        yield from none_of(f"{where}.applies", condition, CONDITIONS)
    if check.role is not None:
        yield from none_of(f"{where}.role", check.role, ROLES)
    if check.role == MAPPING and method is not None and method.name != MAPPING_METHOD:
        yield (
            f"{where}.role: found '{MAPPING}' with the method {method.name}, expected {MAPPING_METHOD}"
        )
    for item in check.fields:
        at = f"{where}.fields.{item.name}"
        for kind in place_kinds(item.per):
            yield from none_of(f"{at}.per", kind, PER)
        yield from none_of(f"{at}.unit", item.unit, FIELD_UNITS)
        if item.kind == "choice" and not item.choices:
            yield f"{at}.choices: found none, expected some"
        for good in item.good:
            known_answers = DATE_RULES if item.kind == "date" else item.choices
            yield from none_of(f"{at}.good", good, known_answers)
    for limit in check.limits:
        at = f"{where}.limits.{limit.name}"
        yield from none_of(f"{at}.unit", limit.unit, FIELD_UNITS)
        if limit.from_target is not None:
            yield from none_of(f"{at}.from_target", limit.from_target, Targets.model_fields)
    if method is not None:
        yield from _not_of_method(where, check, method)


def _not_of_method(where: str, check: CheckDefinition, method: Method) -> Iterator[str]:
    own = {item.name for item in check.fields if item.kind == "number"}
    any_limit = own if method.any_limits else frozenset()
    for what, has, needs, may in (
        ("fields", check.fields, method.fields, method.optional_fields),
        ("limits", check.limits, method.limits, method.optional_limits | any_limit),
    ):
        names = {item.name for item in has}
        for missing in sorted(needs - names):
            yield f"{where}.{what}: {missing} missing, {check.method} needs it"
        for extra in sorted(names - needs - may):
            if what == "limits" or needs | may:
                hint = did_you_mean(extra, needs | may)
                yield f"{where}.{what}: {check.method} knows no {extra}{hint}"


def contradictions(where: str, check: CheckDefinition) -> Iterator[str]:
    """Say what nobody could fulfil or do: bounds the wrong way round, no places, no such pattern.

    A job that was opened with such a check goes on with it: this is asked of new ones only.
    """
    for name in (check.pattern or "").split(","):
        if check.pattern and not (named_in(name) or name.strip() in WRITTEN_OTHERWISE):
            hint = did_you_mean(name.strip(), PATTERNS)
            yield f"{where}.pattern: found {quoted(name.strip())}, expected a pattern{hint}"
    for item in check.fields:
        at = f"{where}.fields.{item.name}"
        yield from _reversed(at, item.low, item.high)
        yield from _bad_places(at, item)
    for limit in check.limits:
        at = f"{where}.limits.{limit.name}"
        yield from _reversed(at, limit.low, limit.high)
        for code, regional in limit.regions.items():
            yield from _reversed(f"{at}.regions.{code}", regional.low, regional.high)
        yield from _crossed(at, limit)


def _reversed(at: str, low: float | None, high: float | None) -> Iterator[str]:
    if low is not None and high is not None and low > high:
        yield f"{at}: found low {low:g} above high {high:g}, expected low at most high"


def _crossed(at: str, limit: LimitDefinition) -> Iterator[str]:
    for minus, plus in ((limit.minus_percent, limit.plus_percent), (limit.minus, limit.plus)):
        if minus is not None and plus is not None and -minus > plus:
            yield (
                f"{at}: found {-minus:g} below and {plus:+g} above the target, expected a tolerance "
                "round it"
            )


def _bad_places(at: str, item: FieldDefinition) -> Iterator[str]:
    if "places" in item.model_fields_set and not item.places:
        yield f'{at}.places: found none, expected some, or per = "wall"'
    for place in sorted(place for place, times in Counter(item.places).items() if times > 1):
        yield f"{at}.places: found {quoted(place)} twice, expected each place once"


def cabinets_named(check: CheckDefinition) -> Iterator[tuple[str, Location]]:
    """Return the key and the place of each cabinet that a check's own places name."""
    for item in check.fields:
        for place in item.places:
            try:
                location = parse_location(place)
            except InputError:
                continue  # words, such as: by day
            if location.cell is not None:
                yield f"{check.id}.fields.{item.name}.places", location


def not_on_wall(checks: Iterable[CheckDefinition], wall: Wall) -> Iterator[str]:
    """Say which cabinets the checks of a wall name that it has not."""
    for check in checks:
        for where, location in cabinets_named(check) if check.applies_to(wall) else ():
            try:
                wall.resolve(location)
            except InputError as error:
                yield f"{where}: {error}"


def none_of(where: str, found: str, known: Collection[str]) -> Iterator[str]:
    """Say that a word is none of those known, with the nearest."""
    if found not in known:
        words = sorted(escaped(str(word)) for word in known)
        yield (
            f"{where}: found {quoted(found)}, expected one of {', '.join(w for w in words if w)}"
            f"{did_you_mean(found, words)}"
        )
