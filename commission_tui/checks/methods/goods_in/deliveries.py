"""Goods in: one batch or a plan, no dew on cold cabinets, meters that agree before they are used."""

from __future__ import annotations

from collections.abc import Mapping

from commission_tui.checks.error_budget import as_by_another_meter, budget_of, function_budget
from commission_tui.checks.judgement import (
    Placed,
    answered_no,
    bad_places,
    conclude,
    joined_by_semicolons,
    judged,
    right_or_wrong,
    sentence_of,
    worst_first,
    worst_of_each_limit,
)
from commission_tui.checks.methods.plain_limits import wrong_answers
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Reading, Verdict
from commission_tui.checks.registry import method
from commission_tui.engineering.colour.colorimetry import white_additivity
from commission_tui.engineering.structure.humidity import dew_point_c
from commission_tui.figures import shown
from commission_tui.text import counted, upper_first
from commission_tui.wall.model.location import Cell

_ONE_BATCH = "one batch"


@method(
    "batch_plan",
    fields=("cabinets_counted", "spares_counted", "mix"),
    optional_fields=("batch", "serials_kept"),
)
def batch_plan(data: CheckInput) -> Outcome:
    """Hold the counts against the design, and the batch marks against what is said of them."""
    figures: list[Figure] = []
    phrases: list[str] = []
    cabinets, spares = data.one("cabinets_counted"), data.one("spares_counted")
    if cabinets is not None:
        wanted = len(data.wall.cabinets)
        figures.append(
            right_or_wrong(
                "cabinets counted", cabinets.number, ok=cabinets.number >= wanted, digits=6
            )
        )
        phrases.append(f"{shown(cabinets.number, 6)} cabinets for {counted(wanted, 'place')}")
    if spares is not None:
        phrases.append(f"{shown(spares.number, 6)} spare modules")
        agreed = data.wall.file.targets.spare_modules
        ok = agreed is None or spares.number >= agreed
        figures.append(right_or_wrong("spare modules counted", spares.number, ok=ok, digits=6))
        if agreed is not None and not ok:
            phrases[-1] += f" of {agreed} agreed"
    extra, words = _mix(data)
    figures += _batches(data)
    step = "Have the missing parts sent, and agree in writing where each batch hangs."
    reason = "; ".join([*phrases, *words])
    return conclude(figures, upper_first(reason), next_step=step, also=extra)


def _mix(data: CheckInput) -> tuple[Verdict | None, list[str]]:
    """Hold what is said of the batches against the marks that were read."""
    words: list[str] = []
    answer = data.one("mix")
    marks = {str(r.value).casefold() for r in data.field("batch").values()}
    bad = bool(answered_no(data, "serials_kept"))
    if bad:
        words.append("the serial numbers are not kept")
    if answer is not None:
        words.append(str(answer.value))
        good = data.good.get("mix", (_ONE_BATCH,))
        bad = bad or answer.value not in good
        if answer.value == _ONE_BATCH and len(marks) > 1:
            bad = True
            words.append(f"yet {len(marks)} batch marks were read")
    return (Verdict.FAIL if bad else None), words


def _batches(data: CheckInput) -> list[Figure]:
    """Count batches, the seams where two meet, and the cabinets that stand alone among others."""
    marks = {Cell.parse(at): str(r.value).casefold() for at, r in data.field("batch").items()}
    if not marks:
        return []
    around = {cell: [n for n in data.wall.neighbours(cell) if n in marks] for cell in marks}
    meeting = sum(marks[cell] != marks[n] for cell, near in around.items() for n in near) // 2
    alone = sum(
        bool(near) and all(marks[n] != marks[cell] for n in near) for cell, near in around.items()
    )
    return [
        Figure("batches in the wall", len(set(marks.values()))),
        Figure("seams where two batches meet", meeting),
        Figure("cabinets among cabinets of another batch only", alone),
    ]


@method(
    "acclimatisation",
    fields=("air_c", "humidity_percent", "crate_c", "hours", "ramp_steps"),
    limits=("crate_above_dew_k", "air_c", "humidity_percent"),
)
def acclimatisation(data: CheckInput) -> Outcome:
    """Hold the coldest crate against the dew point of the room, and the room against its range."""
    air, humidity, crate = (data.one(n) for n in ("air_c", "humidity_percent", "crate_c"))
    if air is None or humidity is None or crate is None:
        return Outcome(Verdict.OPEN, "air, humidity and the coldest crate are needed")
    readings = (crate, air, humidity)
    figures = [
        judged(
            "coldest crate above the dew point",
            crate.number - dew_point_c(air.number, humidity.number),
            "K",
            limit=data.limits["crate_above_dew_k"],
            expanded=function_budget(_margin, *readings),
        ),
        _range(data, "air", air, "air_c"),
        _range(data, "relative humidity", humidity, "humidity_percent"),
        Figure("dew point", dew_point_c(air.number, humidity.number), "°C"),
    ]
    step = "Leave the crates closed and the wall off until the coldest is well above the dew point."
    return conclude(figures, next_step=step)


def _range(data: CheckInput, name: str, reading: Reading, limit: str) -> Figure:
    return judged(
        name, reading.number, reading.unit, limit=data.limits[limit], expanded=budget_of(reading)
    )


def _margin(crate_c: float, air_c: float, humidity_percent: float) -> float:
    return crate_c - dew_point_c(air_c, min(100.0, max(0.1, humidity_percent)))


@method(
    "meters_side_by_side",
    fields=("own_cd_m2", "own_x", "own_y", "other_cd_m2", "other_x", "other_y"),
    limits=("luminance_percent", "xy"),
    optional_fields=("other_percent", "meters", "in_date", "own_due", "other_due", "correction"),
)
def meters_side_by_side(data: CheckInput) -> Outcome:
    """Hold two meters against each other on the same patches, colour by colour."""
    placed: list[Placed] = []
    for patch, own in data.field("own_cd_m2").items():
        other = data.one("other_cd_m2", patch)
        if other is not None:
            placed.append((patch, _luminance(data, patch, own, other)))
    for axis in ("x", "y"):
        placed += _chromaticity(data, axis)
    if not placed:
        return Outcome(Verdict.OPEN, "both meters are needed on the same patch")
    order = worst_first(placed)
    bad = bad_places(order)
    figures = worst_of_each_limit([figure for _, figure in order])
    figures += _factor(data.field("own_cd_m2"), data.field("other_cd_m2"))
    figures += _additivity(data)
    expired = wrong_answers(data)
    late = bool(answered_no(data, "in_date") or expired)
    reason = sentence_of(figures)
    if late:
        why = f" ({joined_by_semicolons(expired)})" if expired else ""
        reason = f"A meter is out of calibration{why}; {reason}"
    step = (
        "Clean both fronts, match spot, distance and integration time, read again; then agree in "
        "writing which meter counts and what correction the other gets."
    )
    extra = Verdict.FAIL if late else None
    return conclude(figures, reason, where=bad, next_step=step, also=extra)


def _luminance(data: CheckInput, patch: str, own: Reading, other: Reading) -> Figure:
    if own.number <= 0 or other.number <= 0:
        raise ValueError(f"a meter reads no light on {patch}, expected more than 0 cd/m²")
    ratio = own.number / other.number
    certificate = data.one("other_percent")
    share = None if certificate is None else max(0.0, certificate.number) / 100
    return judged(
        f"own luminance meter against the other on {patch}",
        100 * (ratio - 1),
        "%",
        limit=data.limits["luminance_percent"],
        expanded=function_budget(
            lambda a, b: 100 * (a / b - 1), own, as_by_another_meter(other, share)
        ),
    )


def _chromaticity(data: CheckInput, axis: str) -> list[Placed]:
    found: list[Placed] = []
    for patch, own in data.field(f"own_{axis}").items():
        other = data.one(f"other_{axis}", patch)
        if other is None:
            continue
        figure = judged(
            f"difference of {axis} on {patch}",
            abs(own.number - other.number),
            limit=data.limits["xy"],
            expanded=function_budget(lambda a, b: abs(a - b), own, as_by_another_meter(other)),
        )
        found.append((patch, figure))
    return found


def _additivity(data: CheckInput) -> list[Figure]:
    """Record the light of the three colours over that of white, which a limiter or a meter bends."""
    figures = []
    for whose in ("own", "other"):
        there = {patch: r.number for patch, r in data.field(f"{whose}_cd_m2").items()}
        if not {"red", "green", "blue", "white"} <= there.keys():
            continue
        share = white_additivity(there["white"], there["red"], there["green"], there["blue"])
        name = f"red, green and blue together over white, {whose} meter"
        figures.append(judged(name, 100 * share, "%", digits=4))
    return figures


def _factor(own: Mapping[str, Reading], other: Mapping[str, Reading]) -> list[Figure]:
    """Record what own readings on white are multiplied by to agree with the other meter."""
    if "white" not in own or "white" not in other:
        return []
    ratio = other["white"].number / own["white"].number
    return [judged("factor from own to other meter on white", ratio, digits=4)]
