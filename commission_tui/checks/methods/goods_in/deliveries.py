"""Goods in: one batch or a plan, no dew on cold cabinets, meters that agree before they are used."""

from __future__ import annotations

from collections.abc import Mapping

from commission_tui.checks import judgement as j
from commission_tui.checks.error_budget import as_by_another_meter, function_budget
from commission_tui.checks.methods.light.patches import change_percent
from commission_tui.checks.methods.plain_limits import wrong_answers
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Reading, Verdict
from commission_tui.checks.registry import method
from commission_tui.engineering.colour.colorimetry import white_additivity
from commission_tui.engineering.numeric.bounds import RefusedError
from commission_tui.engineering.structure.humidity import dew_point_c
from commission_tui.figures import shown
from commission_tui.text import counted
from commission_tui.wall.model.location import Cell

_ONE_BATCH = "one batch"


@method(fields="cabinets_counted spares_counted mix batch? serials_kept?")
def batch_plan(data: CheckInput) -> Outcome:
    """Hold the counts against the design, and the batch marks against what is said of them."""
    figures: list[Figure] = []
    phrases: list[str] = []
    cabinets, spares = data.one("cabinets_counted"), data.one("spares_counted")
    if cabinets is not None:
        wanted = len(data.wall.cabinets)
        figures.append(
            j.right_or_wrong(
                "cabinets counted", cabinets.number, ok=cabinets.number >= wanted, digits=6
            )
        )
        phrases.append(f"{shown(cabinets.number, 6)} cabinets for {counted(wanted, 'place')}")
    if spares is not None:
        phrases.append(f"{shown(spares.number, 6)} spare modules")
        agreed = data.wall.file.targets.spare_modules
        ok = agreed is None or spares.number >= agreed
        figures.append(j.right_or_wrong("spare modules counted", spares.number, ok=ok, digits=6))
        if agreed is not None and not ok:
            phrases[-1] += f" of {agreed} agreed"
    bad, words = _mix(data)
    figures += _batches(data)
    step = "Have the missing parts sent, and agree in writing where each batch hangs."
    return j.conclude(figures, j.phrased(*phrases, *words), next_step=step, failed=bad)


def _mix(data: CheckInput) -> tuple[bool, list[str]]:
    """Hold what is said of the batches against the marks that were read."""
    words = j.refusals(data, {"serials_kept": "the serial numbers are not kept"})
    bad, answer = bool(words), data.one("mix")
    marks = {str(r.value).casefold() for r in data.field("batch").values()}
    if answer is not None:
        words.append(str(answer.value))
        bad = bad or answer.value not in data.good.get("mix", (_ONE_BATCH,))
        if answer.value == _ONE_BATCH and len(marks) > 1:
            bad = True
            words.append(f"yet {len(marks)} batch marks were read")
    return bad, words


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
    fields="air_c humidity_percent crate_c hours ramp_steps",
    limits="crate_above_dew_k air_c humidity_percent",
)
def acclimatisation(data: CheckInput) -> Outcome:
    """Hold the coldest crate against the dew point of the room, and the room against its range."""
    words = "air, humidity and the coldest crate are needed"
    crate, air, humidity = data.needed(words, "crate_c", "air_c", "humidity_percent")
    figures = [
        j.judged(
            "coldest crate above the dew point",
            crate.number - dew_point_c(air.number, humidity.number),
            "K",
            limit=data.limits["crate_above_dew_k"],
            budget=function_budget(_margin, crate, air, humidity),
        ),
        *j.judged_at(data, "air", "air_c", unit=air.unit, limit="air_c"),
        *j.judged_at(
            data,
            "relative humidity",
            "humidity_percent",
            unit=humidity.unit,
            limit="humidity_percent",
        ),
        Figure("dew point", dew_point_c(air.number, humidity.number), "°C"),
    ]
    step = "Leave the crates closed and the wall off until the coldest is well above the dew point."
    return j.conclude(figures, next_step=step)


def _margin(crate_c: float, air_c: float, humidity_percent: float) -> float:
    return crate_c - dew_point_c(air_c, min(100.0, max(0.1, humidity_percent)))


@method(
    fields="own_cd_m2 own_x own_y other_cd_m2 other_x other_y other_percent? meters? in_date? "
    "own_due? other_due? correction?",
    limits="luminance_percent xy",
)
def meters_side_by_side(data: CheckInput) -> Outcome:
    """Hold two meters against each other on the same patches, colour by colour."""
    worst_first = j.worst_first(
        [*_luminances(data), *_chromaticity(data, "x"), *_chromaticity(data, "y")]
    )
    if not worst_first:
        return Outcome(Verdict.OPEN, "both meters are needed on the same patch")
    figures = j.worst_of_each_limit(worst_first)
    figures += _factor(data.field("own_cd_m2"), data.field("other_cd_m2"))
    figures += _additivity(data)
    expired = [said for _, said in wrong_answers(data)]
    late = ""
    if expired or j.answered_no(data, "in_date"):
        late = "A meter is out of calibration"
        late += f" ({j.joined_by_semicolons(expired)})" if expired else ""
    step = (
        "Clean both fronts, match spot, distance and integration time, read again; then agree in "
        "writing which meter counts and what correction the other gets."
    )
    reason, where = j.phrased(late, j.sentence_of(figures)), j.bad_places(worst_first)
    return j.conclude(figures, reason, where=where, next_step=step, failed=late)


def _luminances(data: CheckInput) -> list[Figure]:
    certificate, others = data.one("other_percent"), data.field("other_cd_m2")
    share = None if certificate is None else max(0.0, certificate.number) / 100
    for patch, own in data.field("own_cd_m2").items():
        if patch in others and min(own.number, others[patch].number) <= 0:
            raise RefusedError(f"a meter reads no light on {patch}, expected more than 0 cd/m²")
    return j.judged_places(
        data,
        "own luminance meter against the other on {}",
        *("own_cd_m2", {patch: as_by_another_meter(r, share) for patch, r in others.items()}),
        by=change_percent,
        unit="%",
        limit="luminance_percent",
    )


def _chromaticity(data: CheckInput, axis: str) -> list[Figure]:
    others = {p: as_by_another_meter(r) for p, r in data.field(f"other_{axis}").items()}
    words, own = f"difference of {axis} on {{}}", f"own_{axis}"
    return j.judged_places(data, words, own, others, by=lambda a, b: abs(a - b), limit="xy")


def _additivity(data: CheckInput) -> list[Figure]:
    """Record the light of the three colours over that of white, which a limiter or a meter bends."""
    figures = []
    for whose in ("own", "other"):
        there = {patch: r.number for patch, r in data.field(f"{whose}_cd_m2").items()}
        if not {"red", "green", "blue", "white"} <= there.keys():
            continue
        share = white_additivity(there["white"], there["red"], there["green"], there["blue"])
        name = f"red, green and blue together over white, {whose} meter"
        figures.append(j.judged(name, 100 * share, "%", digits=4))
    return figures


def _factor(own: Mapping[str, Reading], other: Mapping[str, Reading]) -> list[Figure]:
    """Record what own readings on white are multiplied by to agree with the other meter."""
    if "white" not in own or "white" not in other:
        return []
    ratio = other["white"].number / own["white"].number
    return [j.judged("factor from own to other meter on white", ratio, digits=4)]
