"""What the wall adds to the room: sound, radio noise, hum in loudspeakers and hearing aids."""

from __future__ import annotations

import math
from dataclasses import replace

from commission_tui.checks.error_budget import budget_of, function_budget
from commission_tui.checks.judgement import (
    Placed,
    answered_no,
    bad_places,
    clauses_of,
    conclude,
    judged,
    sentence_of,
    worst_first,
)
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Reading, Verdict
from commission_tui.checks.registry import method
from commission_tui.engineering.viewing.noise import (
    LEAST_APART_DB,
    radio_range_share,
    source_alone_db,
)
from commission_tui.figures import shown
from commission_tui.text import upper_first

WALL_OFF = "wall off"


@method(
    "wall_noise",
    fields=("noise_dba",),
    limits=("wall_alone_dba",),
    optional_fields=("no_whine", "octaves"),
)
def wall_noise(data: CheckInput) -> Outcome:
    """Judge the wall's own sound with the room's taken off; say so where it cannot be told."""
    levels = data.field("noise_dba")
    off = levels.get(WALL_OFF)
    on = {place: reading for place, reading in levels.items() if place != WALL_OFF}
    if off is None or not on:
        return Outcome(Verdict.OPEN, "the room with the wall off and on is needed")
    alone = worst_first((place, _alone(data, place, reading, off)) for place, reading in on.items())
    figures = [figure for _, figure in alone]
    figures.append(judged("the room with the wall off", off.number, "dBA"))
    hidden = [(p, f) for p, f in alone if f.verdict is Verdict.MARGINAL and "at most" in f.name]
    whine = answered_no(data, "no_whine")
    reason = clauses_of([f for f in figures if all(f is not unsure for _, unsure in hidden)])
    step = "Look for a fan, an air path or a coil that whines on grey; ask the maker."
    if hidden:
        place, most = hidden[0]
        reason = (
            f"the room hides the wall at {place}, less than {LEAST_APART_DB:g} dB apart: "
            f"it makes at most {shown(most.value)} dBA and may be above the limit, {most.limit}; "
            f"{reason}"
        )
    if whine:
        reason = f"a whine is heard from the nearest seat; {reason}"
    result = conclude(
        figures,
        upper_first(reason),
        where=bad_places(alone),
        next_step=step,
        also=Verdict.FAIL if whine else None,
    )
    if not hidden or result.verdict is Verdict.FAIL:
        return result
    quieter = "Switch the air handling off, wait for a quiet hour and read again with the wall off."
    return replace(result, next_step=quieter)


def _alone(data: CheckInput, state: str, on: Reading, off: Reading) -> Figure:
    found = source_alone_db(on.number, off.number)
    limit = data.limits["wall_alone_dba"]
    if found.told:
        name = f"wall alone at {state}"
        return judged(
            name, found.level_db, "dBA", limit=limit, expanded=function_budget(_less, on, off)
        )
    figure = judged(
        f"wall alone at {state}, at most",
        found.level_db,
        "dBA",
        limit=limit,
        expanded=budget_of(on),
    )
    return (
        figure if figure.verdict is not Verdict.FAIL else replace(figure, verdict=Verdict.MARGINAL)
    )


def _less(on_db: float, off_db: float) -> float:
    """Return what is left of a level when the energy of another is taken off."""
    return 10 * math.log10(10 ** (on_db / 10) - 10 ** (off_db / 10))


@method(
    "radio_floor",
    fields=("floor_off_dbm", "floor_on_dbm"),
    limits=("rise_db",),
    optional_fields=("band_used", "no_drop_outs"),
)
def radio_floor(data: CheckInput) -> Outcome:
    """Judge how far the wall lifts the noise floor of each band, and say what range that costs."""
    rises = _rises(data, "floor_off_dbm", "floor_on_dbm", "noise floor lifted in")
    if not rises:
        return Outcome(Verdict.OPEN, "the floor with the wall off and on is needed in one band")
    worst = max(figure.value for _, figure in rises)
    figures = [figure for _, figure in rises]
    if 0 < worst <= 400:
        left = 100 * radio_range_share(worst)
        figures.append(judged("range left in the worst band, in free space", left, "%", digits=2))
    step = (
        "Bond the frame, shorten or turn the jumpers, add ferrites; move the aerials; read again."
    )
    lost = bool(answered_no(data, "no_drop_outs"))
    return conclude(
        figures,
        f"Microphones drop out with the wall lit; {clauses_of(figures)}" if lost else "",
        where=bad_places(rises),
        next_step=step,
        also=Verdict.FAIL if lost else None,
    )


@method("sound_hum", fields=("off_dba", "on_dba", "clean"), limits=("rise_db",))
def sound_hum(data: CheckInput) -> Outcome:
    """Judge how far the wall lifts the hum of idle loudspeakers."""
    rises = _rises(data, "off_dba", "on_dba", "loudspeaker noise lifted at")
    heard = any(reading.value is False for reading in data.field("clean").values())
    if not rises and not heard:
        return Outcome(Verdict.OPEN, "the loudspeakers with the wall off and on are needed")
    figures = [figure for _, figure in rises]
    reason = (
        f"Buzz heard with the wall on; {sentence_of(figures)}" if heard else sentence_of(figures)
    )
    return conclude(
        figures,
        reason,
        where=bad_places(rises),
        next_step="Part the wall's supply from the sound's, look for an earth loop, cross cables square.",
        also=Verdict.FAIL if heard else None,
    )


def _rises(data: CheckInput, off_name: str, on_name: str, words: str) -> list[Placed]:
    off, on = data.field(off_name), data.field(on_name)
    placed: list[Placed] = []
    for place in (place for place in on if place in off):
        pair = (on[place], off[place])
        figure = judged(
            f"{words} {place}",
            pair[0].number - pair[1].number,
            "dB",
            limit=data.limits["rise_db"],
            expanded=function_budget(lambda lit, dark: lit - dark, *pair),
            digits=2,
        )
        placed.append((place, figure))
    return worst_first(placed)


@method("loop_noise", fields=("loop_off_db", "loop_on_db"), limits=("loop_on_db",))
def loop_noise(data: CheckInput) -> Outcome:
    """Judge the background in the hearing loop with the wall on, and whose it is."""
    limit = data.limits["loop_on_db"]
    off, on = data.field("loop_off_db"), data.field("loop_on_db")
    levels = worst_first(
        (
            seat,
            judged(
                f"background in the loop at the {seat}",
                reading.number,
                "dB",
                limit=limit,
                expanded=budget_of(reading),
            ),
        )
        for seat, reading in on.items()
    )
    rises = {seat: on[seat].number - off[seat].number for seat in on if seat in off}
    figures = [figure for _, figure in levels]
    if rises:
        seat = max(rises, key=rises.__getitem__)
        figures.append(judged(f"largest rise by the wall ({seat})", rises[seat], "dB", digits=2))
    if not figures:
        return Outcome(Verdict.OPEN, "the loop with the wall on is needed")
    bad = bad_places(levels)
    step = "Keep supply and return together, bond the frame, move the wall's cables from the loop."
    houses = [s for s in bad if s in off and limit.high is not None and off[s].number > limit.high]
    if houses:
        step = (
            f"At the {houses[0]} it is above the limit with the wall off already "
            f"({shown(off[houses[0]].number)} dB): the building's own; tell the house."
        )
    return conclude(figures, where=bad, next_step=step)
