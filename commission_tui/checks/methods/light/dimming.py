"""How the wall is dimmed, sent to sleep and set for each state of the light."""

from __future__ import annotations

import itertools
from dataclasses import replace

from commission_tui.checks.error_budget import budget_of, expanded, function_budget
from commission_tui.checks.judgement import (
    answered_no,
    clauses_of,
    conclude,
    judged,
    right_or_wrong,
    sentence_of,
)
from commission_tui.checks.model.types import CheckInput, Figure, Limit, Outcome, Reading, Verdict
from commission_tui.checks.registry import method
from commission_tui.figures import shown
from commission_tui.text import listed, upper_first


@method(
    "black_and_asleep",
    fields=("black_cd_m2", "asleep_cd_m2", "black_w", "asleep_w", "glow_accepted"),
    optional_fields=("black_cd_m2_most",),
    limits=("black_cd_m2",),
)
def black_and_asleep(data: CheckInput) -> Outcome:
    """Say what a black picture still gives off and draws against a wall asleep."""
    figures: list[Figure] = []
    black, asleep = data.one("black_cd_m2"), data.one("asleep_cd_m2")
    if black is not None:
        figures.append(
            judged(
                "black picture",
                black.number,
                "cd/m2",
                limit=_accepted(data),
                expanded=budget_of(black),
            )
        )
    if black is not None and asleep is not None:
        figures.append(judged("glow of black over asleep", black.number - asleep.number, "cd/m2"))
    used, idle = data.one("black_w"), data.one("asleep_w")
    if used is not None and idle is not None:
        saved = used.number - idle.number
        slack = expanded(function_budget(lambda a, b: a - b, used, idle))
        figures.append(right_or_wrong("power that sleep saves", saved, "W", ok=saved >= -slack))
    refused = bool(answered_no(data, "glow_accepted"))
    reason = "The glow was not accepted in the darkest state" if refused else ""
    if figures:
        reason = f"{reason}; {clauses_of(figures)}" if refused else sentence_of(figures)
    return conclude(
        figures,
        reason,
        next_step="Use sleep instead of black in the darkest state, or agree a lower level for it.",
        also=Verdict.FAIL if refused else None,
    )


def _accepted(data: CheckInput) -> Limit:
    """Return the limit with the glow that was accepted, where it was given as a number."""
    limit, most = data.limits["black_cd_m2"], data.one("black_cd_m2_most")
    return limit if most is None else replace(limit, high=most.number)


@method(
    "ambient_sensor",
    fields=("sensor_lx", "level_percent", "delay_s", "holds_still"),
    limits=("delay_s",),
)
def ambient_sensor(data: CheckInput) -> Outcome:
    """Require a curve that never falls as the light rises, and a control that is slow and calm."""
    lux, level = data.numbers("sensor_lx"), data.numbers("level_percent")
    curve = sorted((lux[step], level[step], step) for step in lux if step in level)
    falls = [after[2] for before, after in itertools.pairwise(curve) if after[1] < before[1]]
    figures = []
    if delay := data.one("delay_s"):
        limit = data.limits["delay_s"]
        name = "time the level takes to follow"
        figures.append(judged(name, delay.number, "s", limit=limit, expanded=budget_of(delay)))
    if len(curve) > 1:
        text = f"level at {shown(curve[0][0])} to {shown(curve[-1][0])} lx, steps that rise or hold"
        figures.append(right_or_wrong(text, len(curve) - 1 - len(falls), ok=not falls))
    hunts = bool(answered_no(data, "holds_still"))
    complete = len(curve) == len(data.expected["sensor_lx"])
    idle = complete and len({at for _, at, _ in curve}) == 1
    phrases = [f"the level falls as the light rises, at {listed(falls)}"] if falls else []
    phrases += ["the level does not follow the light"] if idle else []
    phrases += ["the level hunts"] if hunts else []
    reason = "; ".join([*phrases, clauses_of(figures)])
    return conclude(
        figures,
        upper_first(reason),
        where=falls,
        next_step="Move the sensor out of the stage light, lengthen its time, correct the curve.",
        also=Verdict.FAIL if falls or hunts or idle else None,
    )


@method(
    "state_levels",
    fields=("level_percent", "luminance_cd_m2", "agreed"),
    optional_fields=("light_lx", "called_with"),
    limits=(),
)
def state_levels(data: CheckInput) -> Outcome:
    """Table percent against luminance of every state; require that both rank alike and are agreed."""
    percent, light = data.numbers("level_percent"), data.field("luminance_cd_m2")
    ranks = sorted((percent[s], light[s].number, s) for s in percent if s in light)
    wrong = [
        f"{after[2]} against {before[2]}"
        for before, after in itertools.pairwise(ranks)
        if after[0] > before[0] and _darker(light[after[2]], light[before[2]])
    ]
    lux = data.numbers("light_lx")
    figures = [
        judged(f"{state} at {shown(level)} %{_under(lux, state)}", value, "cd/m2")
        for level, value, state in ranks
    ]
    missing = answered_no(data, "agreed")
    phrases = [f"not agreed: {listed(missing)}"] if missing else []
    phrases += [f"a higher level gives less light: {listed(wrong)}"] if wrong else []
    table = ", ".join(f"{f.name}: {shown(f.value)} cd/m²" for f in figures)
    reason = "; ".join(phrases) or table or "recorded"
    return conclude(
        figures,
        upper_first(reason),
        where=[*missing, *wrong],
        next_step="Read the named states again, then agree them with the client.",
        also=Verdict.FAIL if phrases else None,
    )


def _darker(this: Reading, other: Reading) -> bool:
    """Whether one reading lies below another by more than their uncertainty."""
    spread = expanded(function_budget(lambda a, b: b - a, this, other))
    return other.number - this.number > spread


def _under(lux: dict[str, float], state: str) -> str:
    return f" under {shown(lux[state])} lx" if state in lux else ""
