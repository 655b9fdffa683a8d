"""Size, squareness, level and flatness as built."""

from __future__ import annotations

import operator
from dataclasses import replace

from commission_tui.checks import judgement as j
from commission_tui.checks.error_budget import budget_of, function_budget
from commission_tui.checks.model.types import CheckInput, Figure, Limit, Outcome, Verdict
from commission_tui.checks.registry import method
from commission_tui.engineering.structure.geometry import (
    diagonal_difference_mm,
    expected_diagonal_mm,
    out_of_square_mm,
    pitch_mm,
)
from commission_tui.text import listed

_FINE_PITCH_MM = 1.5
_MEDIUM_PITCH_MM = 2.5


@method(
    fields="width_mm height_mm diagonal_down_mm diagonal_up_mm",
    limits="per_joint_mm diagonal_difference_mm",
)
def overall_size(data: CheckInput) -> Outcome:
    """Compare size with the design and the two diagonals with each other."""
    wall = data.wall
    figures = [
        *_side(data, "width", wall.width_mm, wall.columns),
        *_side(data, "height", wall.height_mm, wall.rows),
        *_diagonals(data),
    ]
    bad = [f.name for f in figures if f.verdict is Verdict.FAIL]
    return j.conclude(
        figures,
        next_step=f"Look for gaps and for locks that are not home ({listed(bad)}), then measure again.",
    )


def _side(data: CheckInput, side: str, designed_mm: float, cabinets: int) -> list[Figure]:
    per_joint = data.limits["per_joint_mm"]
    joints = max(1, cabinets - 1)
    limit = replace(per_joint, name=f"{side}_mm", low=None, high=None)
    if per_joint.high is not None:
        spread = per_joint.high * joints
        limit = replace(limit, low=designed_mm - spread, high=designed_mm + spread)
    return j.judged_at(data, side, f"{side}_mm", unit="mm", limit=limit, digits=5)


def _diagonals(data: CheckInput) -> list[Figure]:
    down, up = data.one("diagonal_down_mm"), data.one("diagonal_up_mm")
    if down is None or up is None:
        return []
    designed = expected_diagonal_mm(data.wall.width_mm, data.wall.height_mm)
    figures = [
        j.judged(
            "difference of the diagonals",
            diagonal_difference_mm(down.number, up.number),
            "mm",
            limit=data.limits["diagonal_difference_mm"],
            budget=function_budget(operator.sub, down, up),
        ),
        j.judged("diagonal as designed", designed, "mm", digits=5),
    ]
    if width := data.one("width_mm"):
        shift = out_of_square_mm(down.number, up.number, width.number)
        figures.append(j.judged("top edge shifted to the right", shift, "mm"))
    return figures


@method(
    fields="level_mm plumb_left_mm plumb_right_mm step_mm",
    limits="slope_mm_per_m total_mm step_below_1_5_mm step_to_2_5_mm step_above_2_5_mm",
)
def level_flatness(data: CheckInput) -> Outcome:
    """Judge slope and plumb over their length, and every step against the limit of the pitch."""
    wall = data.wall
    figures = [
        *_slope(data, "level_mm", "top edge out of level", wall.width_mm),
        *_slope(data, "plumb_left_mm", "left edge out of plumb", wall.height_mm),
        *_slope(data, "plumb_right_mm", "right edge out of plumb", wall.height_mm),
    ]
    steps = j.judged_places(data, "step at {}", "step_mm", unit="mm", limit=step_limit(data))
    figures += steps[:1]
    bad = j.bad_places(steps)
    step = "Level the top row first, then close the locks at the named seams and read again."
    return j.conclude(figures, j.sentence_of(figures, most=4), where=bad, next_step=step)


def _slope(data: CheckInput, field: str, name: str, length_mm: float) -> list[Figure]:
    slope, total = data.limits["slope_mm_per_m"], data.limits["total_mm"]
    over_length = replace(slope, unit="mm", high=None)
    if slope.high is not None:
        over_length = replace(over_length, high=slope.high * length_mm / 1000)
    limit = replace(j.lowest(over_length, total), name=field, low=None)
    return [
        j.judged(name, abs(reading.number), "mm", limit=limit, budget=budget_of(reading))
        for reading in data.field(field).values()
    ]


def step_limit(data: CheckInput) -> Limit:
    """Return the limit for a step across a seam at this wall's finest pitch."""
    pitch = min(pitch_mm(c.width_mm, c.width_px) for c in data.wall.cabinets.values())
    if pitch < _FINE_PITCH_MM:
        return data.limits["step_below_1_5_mm"]
    return data.limits["step_to_2_5_mm" if pitch <= _MEDIUM_PITCH_MM else "step_above_2_5_mm"]
