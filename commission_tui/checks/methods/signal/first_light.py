"""First light: what every cabinet must share, the chain as it runs, frames that do not meet."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from statistics import linear_regression

from commission_tui.checks import judgement as j
from commission_tui.checks.error_budget import budget_of
from commission_tui.checks.methods.plain_limits import not_in_order, with_answers
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Verdict
from commission_tui.checks.registry import method
from commission_tui.figures import shown
from commission_tui.text import counted, listed, upper_first
from commission_tui.wall.model.location import Cell, parse_location

_FIGURES_SHOWN = 8
_AGREED = "agreed"
_GROWS_PX = 0.1
"""From this growth a column on, a cabinet size is loaded wrong, not a step read wrong once."""
_PLACE = re.compile(r"P?0*(\d{1,4})\s*[.:/ ]\s*0*(\d{1,4})", re.IGNORECASE)
_HASH = re.compile(r"(?<![0-9a-zA-Z])[0-9a-f]{6,64}(?![0-9a-zA-Z])")
_FIGURES = 8


@method()
def with_exceptions(data: CheckInput) -> Outcome:
    """Weigh answers for the wall with the places that were logged as different, by any field.

    Every answer must be yes and every word kept for one place is an exception, unless `agreed`
    says at that place what was agreed in writing; a no that only such exceptions account for is
    answered by them. A text for the wall is recorded.
    """
    odd = _exceptions(data)
    agreed = {place for place, reading in data.field(_AGREED).items() if reading.value}
    open_ones = {place: what for place, what in odd.items() if place not in agreed}
    asked = {
        name: [p for p, r in at.items() if isinstance(r.value, bool)]
        for name, at in data.readings.items()
    }
    excused = bool(odd) and not open_ones
    wrong = [(n, p) for n, places in asked.items() for p in places if p in j.answered_no(data, n)]
    if excused:
        wrong = [(n, p) for n, p in wrong if p != "wall"]
    total = sum(len(places) for places in asked.values())
    figures = [
        j.count_right("answers in order", total, wrong),
        j.count_wrong("exceptions", open_ones),
    ]
    if kept := sorted(agreed & odd.keys()):
        figures.append(Figure("exceptions agreed in writing", len(kept), digits=5))
    parts = [f"{place}: {what}" for place, what in open_ones.items()]
    remark = listed(parts)
    if parts and not wrong:
        remark = f"Said to be right everywhere, yet {remark}"
    elif wrong and not parts:
        remark = not_in_order([f"{j.placed_label(data, n, p)} (no)" for n, p in wrong])
    elif not parts:
        remark = f"In order, with what was agreed for {listed(kept)}" if kept else "In order"
    step = "Put the named places right and look at the whole wall again."
    if wrong and not parts:
        step = "Log which places differ and how, so that the cause can be found."
    where = [*open_ones, *(p for _, p in wrong if p not in open_ones and p != "wall")]
    return j.conclude(figures, upper_first(remark), where=where, next_step=step)


def _exceptions(data: CheckInput) -> dict[str, str]:
    found: dict[str, str] = {}
    for name, at in data.readings.items():
        if name == _AGREED:
            continue
        for place, reading in at.items():
            if place != "wall" and isinstance(reading.value, str):
                found[place] = j.shortened_text(reading)
    return found


@method(fields="as_scheduled seen_place?")
def chain_path(data: CheckInput) -> Outcome:
    """Compare the chain that the processor draws with the schedule, place by place."""
    seen: dict[str, str] = {}
    unread: list[str] = []
    for cabinet, reading in data.field("seen_place").items():
        place = _PLACE.search(str(reading.value))
        if place is None:
            unread.append(f"{cabinet} ({j.shortened_text(reading, 15)})")
        else:
            seen[cabinet] = f"P{int(place[1])}.{int(place[2])}"
    if unread:
        return Outcome(
            Verdict.OPEN,
            f"no chain place can be read for {listed(unread)}",
            next_step="Write port and place, such as P3.8.",
        )
    wanted = {cell: _chain_place(data, cell) for cell in seen}
    wrong = {cell: place for cell, place in seen.items() if place != wanted[cell]}
    return _paths(data, wrong, wanted)


def _chain_place(data: CheckInput, cabinet: str) -> str:
    place = data.wall.chain_place(Cell.parse(cabinet))
    return "no chain" if place is None else f"P{place[0]}.{place[1]}"


def _paths(data: CheckInput, wrong: Mapping[str, str], wanted: Mapping[str, str]) -> Outcome:
    denied = j.answered_no(data, "as_scheduled")
    ports = len(data.field("as_scheduled"))
    figures = [
        j.count_right("ports as scheduled", ports, denied),
        j.count_wrong("cabinets at another place", wrong),
    ]
    parts = [f"{cell} is at {place} (schedule: {wanted[cell]})" for cell, place in wrong.items()]
    if wrong and not denied:
        parts[0] = f"said to be as scheduled, yet {parts[0]}"
    if denied and not wrong:
        parts = [f"not as scheduled: {listed(denied)}, and no cabinet is named yet"]
    step = "Follow the chain from the first cabinet named; correct the cabling or the schedule."
    return j.conclude(
        figures,
        j.phrased(*parts[:5]) or f"All {counted(ports, 'port')} run as scheduled",
        where=[*wrong, *denied],
        next_step=step,
    )


@method(fields="diagonals_unbroken frames_whole across_px? down_px?", limits="offset_px")
def frames_meet(data: CheckInput) -> Outcome:
    """Require frames that meet at every seam; say how an offset grows along the wall."""
    limit = data.limits["offset_px"]
    worst_first = j.worst_first(
        j.judged(
            f"step {way} at {seam}",
            abs(r.number),
            "px",
            limit=limit,
            budget=budget_of(r),
            place=seam,
        )
        for way in ("across", "down")
        for seam, r in data.field(f"{way}_px").items()
    )
    figures = worst_first[:_FIGURES_SHOWN]
    denied = [f for f in ("diagonals_unbroken", "frames_whole") if j.answered_no(data, f)]
    figures.append(j.count_right("answers in order", 2, denied, digits=3))
    phrases = [f"{data.label(field)} (no)" for field in denied]
    phrases += [j.clauses_of(figures)] if j.bad_places(worst_first) else []
    grows = [*_growth(data, "across_px", "column"), *_growth(data, "down_px", "row")]
    phrases += [
        f"{f.name} {shown(f.value)} px: a cabinet size loaded wrong"
        for f in grows
        if abs(f.value) >= _GROWS_PX
    ]
    return j.conclude(
        [*figures, *grows],
        j.phrased(*phrases) or "Frames whole and diagonals unbroken over every seam",
        where=j.bad_places(worst_first),
        next_step="Compare the cabinet's size and offset in the processor with the drawing.",
    )


def _growth(data: CheckInput, field: str, way: str) -> list[Figure]:
    """Fit a line through the steps of at least three seams along the wall (least squares)."""
    at: list[tuple[float, float]] = []
    for seam, value in data.numbers(field).items():
        cell = parse_location(seam).cell
        if cell is not None:
            at.append((float(cell.column if way == "column" else cell.row), value))
    if len({x for x, _ in at}) < 3:
        return []
    slope = linear_regression([x for x, _ in at], [y for _, y in at]).slope
    return [j.judged(f"growth for each {way}", slope, "px")]


@method(fields="even_grey beats_across beats_down")
def pixel_grid(data: CheckInput) -> Outcome:
    """Turn beats over the wall into the scaling that makes them: one pixel for each beat."""
    wall = data.wall
    figures: list[Figure] = []
    scaled: list[str] = []
    for way, pixels in (("across", wall.width_px), ("down", wall.height_px)):
        beats = data.one(f"beats_{way}")
        if beats is None:
            continue
        figures.append(j.right_or_wrong(f"beats {way}", beats.number, ok=beats.number == 0))
        if beats.number:
            error = beats.number / pixels * 100
            figures.append(Figure(f"scaled {way} by about", error, "%"))
            scaled.append(f"{shown(beats.number)} beats {way} are {shown(error)} % of scaling")
    uneven = j.answered_no(data, "even_grey")
    grey = f"not an even grey: {listed(uneven)}" if uneven else ""
    return j.conclude(
        figures,
        j.phrased(*scaled, grey) or "An even grey without beats",
        where=uneven,
        next_step="Switch scaling off in source and processor; set raster and canvas alike.",
        failed=uneven,
    )


@method(fields="card_programme kept card_firmware? processor_firmware?", reads_record=True)
def known_good_files(data: CheckInput) -> Outcome:
    """Look for the programme's hash among the files that are kept with the job."""
    (found,) = data.needed("the programme's file and its hash are needed", "card_programme")
    given = [one for one in _hashes(str(found.value)) if len(one) >= _FIGURES]
    kept = [n for n, digest in data.record().files if any(digest.startswith(h) for h in given)]
    wrong = []
    if not given:
        wrong.append("no SHA-256 is given, the first eight figures are enough")
    elif not kept:
        wrong.append(f"no file kept with the job has the SHA-256 {given[0]}")
    return with_answers(
        data,
        wrong=wrong,
        remark=f"{kept[0]} is kept with the job, its SHA-256 agrees" if kept else "",
        next_step="Keep the file with the job, and log the first eight figures of its SHA-256.",
    )


@method()
def card_programmes(data: CheckInput) -> Outcome:
    """Weigh as `with_exceptions` does, and hold the checksum against the known-good cabinet's."""
    outcome = with_exceptions(data)
    known = data.beside.get("known_good", {}).get("wall")
    found = data.one("identity")
    if known is None or found is None:
        return outcome
    good, here = _hashes(str(known.value)), _hashes(str(found.value))
    if not good or not here or any(a.startswith(b) or b.startswith(a) for a in good for b in here):
        return outcome
    return replace(
        outcome,
        verdict=Verdict.FAIL,
        reason=f"Not the programme of the known-good cabinet, {good[0]}; {outcome.reason}",
        next_step="Load the known-good cabinet's programme, or log anew which one is good.",
    )


def _hashes(text: str) -> list[str]:
    return _HASH.findall(text.lower())
