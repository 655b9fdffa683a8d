"""Faults logged without the screens: one at each place that is named, all or none."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import click

from commission_tui.cli.options import json_option, on_job
from commission_tui.cli.output import answer, message
from commission_tui.errors import InputError

if TYPE_CHECKING:
    from commission_tui.checks.faults.kinds import FaultKind
    from commission_tui.logbook.job import OpenJob
    from commission_tui.logbook.state.state import Fault
    from commission_tui.wall.model.location import Location

_NEAR_KINDS = 12


@dataclass(frozen=True, slots=True)
class _AtPlace:
    """A fault that is to be logged at one place."""

    kind: FaultKind
    at: Location
    usual: str
    why: str


@click.command("fault")
@on_job
@click.argument("kind")
@click.argument("locations", nargs=-1, required=True, metavar="LOCATION...")
@click.option(
    "--severity",
    type=click.Choice(["danger", "stop", "shows", "near", "note"]),
    help="Default: the usual one of the kind, a step up in the middle of the picture, and for "
    "pixels that crowd.",
)
@click.option("--note", default="")
@click.option("--check", help="The check that found it.")
@click.option("--seen-on", default="", help="Pattern, level and distance.")
@json_option
def fault(
    opened: OpenJob,
    kind: str,
    locations: tuple[str, ...],
    severity: str | None,
    note: str,
    check: str | None,
    seen_on: str,
) -> None:
    """Log a fault: KIND at each LOCATION (such as 'R3C7 m1,2', 'x1211 y402' or 'R3C7 right').

    Of many cabinets ('row 3', 'R1C1 to R1C3', 'bottom row') it is one fault for each. Several
    places are logged all or none, and taken back as one; with --json they are a list.
    """
    from commission_tui.checks.faults.fault_words import fault_note
    from commission_tui.logbook.state.fault_steps import fault_body

    found = _at_places(opened, kind, locations)
    entries = opened.record_all([
        fault_body(
            opened.state, one.kind.name, str(one.at), severity or one.usual,
            note=fault_note(one.kind, kind, note), check=check, seen_on=seen_on,
        )
        for one in found
    ])  # fmt: skip
    numbered = {fault.id: fault for fault in opened.state.faults}
    logged = [numbered[entry.id] for entry in entries]
    for caution in dict.fromkeys(one.kind.caution for one in found if one.kind.caution):
        message(caution)
    said = [_said(opened, one, fault) for one, fault in zip(found, logged, strict=True)]
    lines = []
    for one, of_it in zip(found, said, strict=True):
        because = f" ({one.why})" if one.why and of_it["severity"] == one.usual else ""
        lines.append(
            f"fault {of_it['number']}: {kind}, {of_it['severity']}{because}, {of_it['where']}; "
            f"it {of_it['blocking']}"
        )
    for looks in dict.fromkeys(one.kind.first_looks for one in found):
        lines += [f"  {step}. {look}" for step, look in enumerate(looks, start=1)]
    answer(said[0] if len(said) == 1 else said, *lines)


def _at_places(opened: OpenJob, words: str, locations: tuple[str, ...]) -> list[_AtPlace]:
    """Return a fault for each place that is meant, each place once, in the order in which they are named."""
    from commission_tui.checks.faults.severity import suggested_severity
    from commission_tui.checks.faults.typed_places import (
        cabinets_of,
        misplaced,
        one_part,
        place_of,
        written_out,
    )
    from commission_tui.checks.model.types import SeenFault
    from commission_tui.logbook.judging.outcomes import seen_faults
    from commission_tui.wall.model.location import parse_location

    wall, seen = opened.state.wall, [*seen_faults(opened.state)]
    found: dict[Location, _AtPlace] = {}
    for typed in locations:
        where = one_part(written_out(wall, typed), words)
        named = cabinets_of(wall, where) or (place_of(wall, where),)
        places = [wall.resolve(parse_location(place)) for place in named]
        kind = _kind_or_list(words, places[0].form)
        if wrong := misplaced(wall, kind, where):
            raise InputError(f"location: {wrong}")
        for at in places:
            if at not in found:
                found[at] = _AtPlace(kind, at, *suggested_severity(kind, wall, at, seen))
                seen.append(SeenFault(kind.name, str(at), "open"))
    return [*found.values()]


def _said(opened: OpenJob, one: _AtPlace, logged: Fault) -> dict[str, Any]:
    """Return what is answered of a fault that was logged; what is to be asked about it is a message."""
    from commission_tui.checks.faults.kinds import too_coarse
    from commission_tui.checks.faults.severity import blocking_words
    from commission_tui.logbook.state.fault_steps import same_before

    found, same = logged.found.body, same_before(opened.state, logged)
    if closer := too_coarse(one.kind, one.at):
        message(f"logged there; if it can be told more closely: {closer}")
    if same:
        message(
            f"fault {same.number}, {same.state}, is the same at this place: if this is that one, "
            + ("'log undo'" if same.state == "open" else "'log undo', then 'log reopened' that")
        )
    return {
        "entry": logged.id,
        "number": logged.number,
        "same_before": same.number if same else None,
        "severity": found.severity,
        "where": opened.state.wall.places_text(one.at),
        "usual": one.usual,
        "why": one.why,
        "blocking": blocking_words(one.kind.name, found.severity),
        "first_looks": one.kind.first_looks,
    }


def _kind_or_list(words: str, form: str) -> FaultKind:
    """Return the kind that words mean; list the kinds when they mean none."""
    from commission_tui.checks.faults.fault_words import kinds_like, named_kind

    try:
        return named_kind(words, form)
    except InputError:
        near = {kind.name: kind for word in words.split() for kind in kinds_like(word, form)}
        if 0 < len(near) <= _NEAR_KINDS:
            message("kinds of fault that are near, and what they are called as well:")
            for kind in near.values():
                message(f"  {kind.name}: {', '.join(kind.also)}")
        else:
            names = ", ".join(kind.name for kind in kinds_like("", form))
            for line in textwrap.wrap(f"kinds of fault: {names}", 79):
                message(line)
        raise
