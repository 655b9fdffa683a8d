"""What the wall adds to the room: sound, radio noise, hum in loudspeakers and hearing aids."""

from __future__ import annotations

import math
import operator
from dataclasses import replace

from commission_tui.checks import judgement as j
from commission_tui.checks.error_budget import budget_of, function_budget
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Reading, Verdict
from commission_tui.checks.registry import method
from commission_tui.engineering.viewing import noise
from commission_tui.figures import shown

WALL_OFF = "wall off"


@method(fields="noise_dba no_whine? octaves?", limits="wall_alone_dba")
def wall_noise(data: CheckInput) -> Outcome:
    """Judge the wall's own sound with the room's taken off; say so where it cannot be told."""
    levels = data.field("noise_dba")
    off = levels.get(WALL_OFF)
    on = {place: reading for place, reading in levels.items() if place != WALL_OFF}
    if off is None or not on:
        return Outcome(Verdict.OPEN, "the room with the wall off and on is needed")
    alone = j.worst_first(_alone(data, place, reading, off) for place, reading in on.items())
    hidden = [f for f in alone if f.verdict is Verdict.MARGINAL and "at most" in f.name]
    room = j.judged("the room with the wall off", off.number, "dBA")
    reason = j.clauses_of([f for f in (*alone, room) if f not in hidden])
    step = "Look for a fan, an air path or a coil that whines on grey; ask the maker."
    if hidden:
        most = hidden[0]
        reason = (
            f"the room hides the wall at {most.place}, less than {noise.LEAST_APART_DB:g} dB apart: "
            f"it makes at most {shown(most.value)} dBA and may be above the limit, {most.limit}; "
            f"{reason}"
        )
    whine = j.answered_no(data, "no_whine")
    reason = j.phrased("a whine is heard from the nearest seat" if whine else "", reason)
    result = j.conclude([*alone, room], reason, next_step=step, failed=whine)
    if not hidden or result.verdict is Verdict.FAIL:
        return result
    quieter = "Switch the air handling off, wait for a quiet hour and read again with the wall off."
    return replace(result, next_step=quieter)


def _alone(data: CheckInput, state: str, on: Reading, off: Reading) -> Figure:
    """Judge the wall's own level; where the room hides it, more than the limit is not a fail."""
    found, limit = noise.source_alone_db(on.number, off.number), data.limits["wall_alone_dba"]
    known = function_budget(_less, on, off) if found.told else budget_of(on)
    name = f"wall alone at {state}" + ("" if found.told else ", at most")
    figure = j.judged(name, found.level_db, "dBA", limit=limit, budget=known, place=state)
    if found.told or figure.verdict is not Verdict.FAIL:
        return figure
    return replace(figure, verdict=Verdict.MARGINAL)


def _less(on_db: float, off_db: float) -> float:
    """Return what is left of a level when the energy of another is taken off."""
    return 10 * math.log10(10 ** (on_db / 10) - 10 ** (off_db / 10))


@method(fields="floor_off_dbm floor_on_dbm band_used? no_drop_outs?", limits="rise_db")
def radio_floor(data: CheckInput) -> Outcome:
    """Judge how far the wall lifts the noise floor of each band, and say what range that costs."""
    figures = _rises(data, "floor_off_dbm", "floor_on_dbm", "noise floor lifted in {}")
    if not figures:
        return Outcome(Verdict.OPEN, "the floor with the wall off and on is needed in one band")
    worst = max(figure.value for figure in figures)
    if 0 < worst <= 400:
        left = 100 * noise.radio_range_share(worst)
        figures.append(j.judged("range left in the worst band, in free space", left, "%", digits=2))
    step = (
        "Bond the frame, shorten or turn the jumpers, add ferrites; move the aerials; read again."
    )
    lost = j.answered_no(data, "no_drop_outs")
    reason = (
        j.phrased("microphones drop out with the wall lit", j.clauses_of(figures)) if lost else ""
    )
    return j.conclude(figures, reason, next_step=step, failed=lost)


@method(fields="off_dba on_dba clean", limits="rise_db")
def sound_hum(data: CheckInput) -> Outcome:
    """Judge how far the wall lifts the hum of idle loudspeakers."""
    figures = _rises(data, "off_dba", "on_dba", "loudspeaker noise lifted at {}")
    heard = j.answered_no(data, "clean")
    if not figures and not heard:
        return Outcome(Verdict.OPEN, "the loudspeakers with the wall off and on are needed")
    return j.conclude(
        figures,
        j.phrased("Buzz heard with the wall on" if heard else "", j.sentence_of(figures)),
        next_step="Part the wall's supply from the sound's, look for an earth loop, cross cables square.",
        failed=heard,
    )


def _rises(data: CheckInput, off: str, on: str, words: str) -> list[Figure]:
    return j.judged_places(
        data, words, on, off, by=operator.sub, unit="dB", limit="rise_db", digits=2
    )


@method(fields="loop_off_db loop_on_db", limits="loop_on_db")
def loop_noise(data: CheckInput) -> Outcome:
    """Judge the background in the hearing loop with the wall on, and whose it is."""
    off, on = data.numbers("loop_off_db"), data.numbers("loop_on_db")
    if not on:
        return Outcome(Verdict.OPEN, "the loop with the wall on is needed")
    words, limit = "background in the loop at the {}", data.limits["loop_on_db"]
    figures = j.judged_places(data, words, "loop_on_db", unit="dB", limit="loop_on_db")
    if rises := {seat: on[seat] - off[seat] for seat in on if seat in off}:
        seat = max(rises, key=rises.__getitem__)
        figures.append(j.judged(f"largest rise by the wall ({seat})", rises[seat], "dB", digits=2))
    step = "Keep supply and return together, bond the frame, move the wall's cables from the loop."
    most = math.inf if limit.high is None else limit.high
    houses = [seat for seat in j.bad_places(figures) if off.get(seat, -math.inf) > most]
    if houses:
        step = (
            f"At the {houses[0]} it is above the limit with the wall off already "
            f"({shown(off[houses[0]])} dB): the building's own; tell the house."
        )
    return j.conclude(figures, next_step=step)
