"""How the wall is dimmed, sent to sleep and set for each state of the light."""

from __future__ import annotations

import itertools
from dataclasses import replace

from commission_tui.checks import judgement as j
from commission_tui.checks.error_budget import expanded, function_budget
from commission_tui.checks.model.types import CheckInput, Outcome, Reading
from commission_tui.checks.registry import method
from commission_tui.figures import shown
from commission_tui.text import listed, upper_first


@method(
    fields="black_cd_m2 asleep_cd_m2 black_w asleep_w glow_accepted black_cd_m2_most?",
    limits="black_cd_m2",
)
def black_and_asleep(data: CheckInput) -> Outcome:
    """Say what a black picture still gives off and draws against a wall asleep."""
    black, asleep = data.one("black_cd_m2"), data.one("asleep_cd_m2")
    limit, most = data.limits["black_cd_m2"], data.one("black_cd_m2_most")
    # The glow that was accepted counts, where it was given as a number.
    limit = limit if most is None else replace(limit, high=most.number)
    figures = j.judged_at(data, "black picture", "black_cd_m2", unit="cd/m2", limit=limit)
    if black is not None and asleep is not None:
        figures.append(j.judged("glow of black over asleep", black.number - asleep.number, "cd/m2"))
    used, idle = data.one("black_w"), data.one("asleep_w")
    if used is not None and idle is not None:
        saved = used.number - idle.number
        slack = expanded(function_budget(lambda a, b: a - b, used, idle))
        figures.append(j.right_or_wrong("power that sleep saves", saved, "W", ok=saved >= -slack))
    refused = j.refusals(data, {"glow_accepted": "the glow was not accepted in the darkest state"})
    return j.conclude(
        figures,
        j.phrased(*refused, j.clauses_of(figures) if figures else ""),
        next_step="Use sleep instead of black in the darkest state, or agree a lower level for it.",
        failed=refused,
    )


@method(fields="sensor_lx level_percent delay_s holds_still", limits="delay_s")
def ambient_sensor(data: CheckInput) -> Outcome:
    """Require a curve that never falls as the light rises, and a control that is slow and calm."""
    lux, level = data.numbers("sensor_lx"), data.numbers("level_percent")
    curve = sorted((lux[step], level[step], step) for step in lux if step in level)
    falls = [after[2] for before, after in itertools.pairwise(curve) if after[1] < before[1]]
    name = "time the level takes to follow"
    figures = j.judged_at(data, name, "delay_s", unit="s", limit="delay_s")
    if len(curve) > 1:
        text = f"level at {shown(curve[0][0])} to {shown(curve[-1][0])} lx, steps that rise or hold"
        figures.append(j.count_right(text, len(curve) - 1, falls, digits=3))
    hunts = j.refusals(data, {"holds_still": "the level hunts"})
    complete = len(curve) == len(data.expected["sensor_lx"])
    idle = complete and len({at for _, at, _ in curve}) == 1
    phrases = [f"the level falls as the light rises, at {listed(falls)}"] if falls else []
    phrases += ["the level does not follow the light"] if idle else []
    return j.conclude(
        figures,
        j.phrased(*phrases, *hunts, j.clauses_of(figures)),
        where=falls,
        next_step="Move the sensor out of the stage light, lengthen its time, correct the curve.",
        failed=falls or hunts or idle,
    )


@method(fields="level_percent luminance_cd_m2 agreed light_lx? called_with?")
def state_levels(data: CheckInput) -> Outcome:
    """Table percent against luminance of every state; require that both rank alike and are agreed."""
    percent, light = data.numbers("level_percent"), data.field("luminance_cd_m2")
    ranks = sorted((percent[s], light[s].number, s) for s in percent if s in light)
    wrong = [
        (after[2], before[2])
        for before, after in itertools.pairwise(ranks)
        if after[0] > before[0] and _darker(light[after[2]], light[before[2]])
    ]
    under = {state: f" under {shown(lux)} lx" for state, lux in data.numbers("light_lx").items()}
    figures = [
        j.judged(f"{state} at {shown(level)} %{under.get(state, '')}", value, "cd/m2")
        for level, value, state in ranks
    ]
    missing = j.answered_no(data, "agreed")
    phrases = [f"not agreed: {listed(missing)}"] if missing else []
    pairs = [f"{state} against {lower}" for state, lower in wrong]
    phrases += [f"a higher level gives less light: {listed(pairs)}"] if wrong else []
    table = ", ".join(f"{f.name}: {shown(f.value)} cd/m²" for f in figures)
    return j.conclude(
        figures,
        j.phrased(*phrases) or upper_first(table) or "Recorded",
        where=[*missing, *itertools.chain.from_iterable(wrong)],
        next_step="Read the named states again, then agree them with the client.",
        failed=phrases,
    )


def _darker(this: Reading, other: Reading) -> bool:
    """Whether one reading lies below another by more than their uncertainty."""
    spread = expanded(function_budget(lambda a, b: b - a, this, other))
    return other.number - this.number > spread
