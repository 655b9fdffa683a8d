"""The design before anything hangs: contradictions, rasters, ports, chains, seats and cameras, failures, heat."""

from __future__ import annotations

import math
from collections import Counter

from commission_tui.checks import judgement as j
from commission_tui.checks.error_budget import budget_of
from commission_tui.checks.judgement import conclude, count_right, phrased, refusals
from commission_tui.checks.methods.camera import optics
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Verdict
from commission_tui.checks.places.places import findings_to_answer
from commission_tui.checks.registry import method
from commission_tui.engineering.numeric.bounds import RefusedError
from commission_tui.engineering.power.heat import heat_btu_h, heat_tons
from commission_tui.engineering.signal.rasters import RasterFit, capacity_at_px, fit_raster
from commission_tui.engineering.structure.geometry import pitch_mm
from commission_tui.engineering.viewing.moire import (
    farthest_clean_distance_m,
    photosites_wanted,
)
from commission_tui.engineering.viewing.viewing import arcmin, seat, text_height_px
from commission_tui.figures import shown
from commission_tui.text import counted, listed, upper_first
from commission_tui.wall.model.file_model import Camera, Input

_FILLS, _PART = "one to one, fills the canvas", "one to one, part of the canvas"


@method(fields="scaling media_width_px? media_height_px?")
def canvas_rasters(data: CheckInput) -> Outcome:
    """Hold what is said of each source's scaling against its raster and the canvas."""
    wall = data.wall
    canvas = (wall.width_px, wall.height_px)
    wrong: list[str] = []
    phrases: list[str] = []
    figures = [Figure("canvas width", canvas[0], "px", digits=6)]
    figures.append(Figure("canvas height", canvas[1], "px", digits=6))
    for source in wall.file.inputs:
        fit = fit_raster((source.width_px, source.height_px), canvas)
        figures.append(Figure(f"scale to fill from {source.name}", fit.scale, digits=4))
        answer = data.one("scaling", source.name)
        if answer is not None and (why := _not_so(data, source, str(answer.value), fit)):
            wrong.append(source.name)
            phrases.append(f"{source.name} {why}")
    media = [r.number for n in ("width", "height") if (r := data.one(f"media_{n}_px"))]
    if len(media) == 2 and tuple(media) != canvas:
        phrases.append(
            f"the media server plays {media[0]:g} x {media[1]:g} px on {canvas[0]} x {canvas[1]}"
        )
    reason = "; ".join(phrases) or f"Every source as said, canvas {canvas[0]} x {canvas[1]} px"
    step = (
        "Have the source set to the canvas, or the scaling agreed in writing with what it costs: "
        "soft text, or a black border."
    )
    return j.conclude(figures, upper_first(reason), where=wrong, next_step=step, failed=phrases)


def _not_so(data: CheckInput, source: Input, scaling: str, fit: RasterFit) -> str:
    """Say why an answer cannot be right for a source's raster, or nothing."""
    size = f"{source.width_px} x {source.height_px} px"
    wall = data.wall
    if scaling == _FILLS and (fit.scale != 1 or fit.unused_px):
        return f"is {size} and cannot fill the canvas pixel for pixel"
    if scaling == _PART and (source.width_px > wall.width_px or source.height_px > wall.height_px):
        return f"is {size}, larger than the canvas: pixel for pixel it is cut"
    if scaling not in data.good.get("scaling", (scaling,)):
        return f"is {size}: {scaling}; {fit.scale:.3g} times, {fit.unused_px} px stay black"
    return ""


@method(fields="bits frame_rate_hz rule", limits="of_capacity_percent")
def port_schedule(data: CheckInput) -> Outcome:
    """Load each port at the depth and rate that will be set, by the rule of the maker's sheet."""
    # Here, not at the top: the review brings in arrays, which every start would pay for.
    from commission_tui.wall.review.design_review import review

    words = "bit depth, frame rate and the rule are needed"
    bits, rate, rule = data.needed(words, "bits", "frame_rate_hz", "rule")
    processor, ports = data.wall.file.processor, review(data.wall).ports
    if not ports:
        return Outcome(Verdict.OPEN, "the wall file names no chain yet")
    capacity = capacity_at_px(
        processor.pixels_per_port,
        (processor.bits, processor.frame_rate_hz),
        (round(bits.number), rate.number),
    )
    limit, placed = data.limits["of_capacity_percent"], []
    for port in ports:
        load = port.sum_px if rule.value == "sum" else port.rectangle_px
        share, name = 100 * load / max(1, capacity), f"load of port {port.port}"
        known, at = budget_of(rate, share / rate.number), f"P{port.port}"
        placed.append(j.judged(name, share, "%", limit=limit, budget=known, place=at))
    worst_first = j.worst_first(placed)
    figures = [*worst_first[:3], Figure("capacity of a port as set", capacity, "px", digits=7)]
    differs = ""
    if rule.value != processor.load_rule:
        differs = f"The wall file counts by {processor.load_rule}, the sheet by {rule.value}"
    reason = j.phrased(differs, j.sentence_of(figures))
    step = "Move cabinets to another port, or lower depth or rate; put the rule in the wall file."
    where = j.bad_places(worst_first)
    return j.conclude(figures, reason, where=where, next_step=step, failed=differs)


@method(fields="copper_m cards_most fibre_m?", limits="copper_m of_cards_percent")
def chain_lengths(data: CheckInput) -> Outcome:
    """Hold the longest chain against the maker's number, and each copper run against its channel."""
    (most,) = data.needed("the maker's longest chain is not recorded yet", "cards_most")
    if most.number < 1:
        raise RefusedError(f"the longest chain is {most.number:g} cards, expected 1 or more")
    placed = j.judged_places(data, "copper run of {}", "copper_m", unit="m", limit="copper_m")
    limit = data.limits["of_cards_percent"]
    for chain in data.wall.chains:
        share, port = 100 * len(chain.cells) / most.number, f"P{chain.port}"
        placed.append(j.judged(f"cards on {port}", share, "%", limit=limit, place=port))
    if not placed:
        return Outcome(Verdict.OPEN, "the wall file names no chain yet")
    worst_first = j.worst_first(placed)
    longest = max((len(chain.cells) for chain in data.wall.chains), default=0)
    spare = j.judged("cards to spare on the longest chain", most.number - longest)
    step = (
        "Run the named port another way, go over to fibre, or split its chain; re-issue the plan."
    )
    return j.conclude([*worst_first[:4], spare], where=j.bad_places(worst_first), next_step=step)


@method(fields="seats_as_filed cameras_as_filed aside_m away_m")
def viewing_geometry(data: CheckInput) -> Outcome:
    """Record what seats and cameras of the wall file will see; the file must be that of the plan."""
    kinds = data.wall.cabinets.values()
    coarse = max(pitch_mm(c.width_mm, c.width_px) for c in kinds)
    targets = data.wall.file.targets
    figures: list[Figure] = []
    if targets.nearest_m is not None:
        seen = arcmin(coarse, targets.nearest_m)
        figures.append(Figure("pixel from the nearest seat", seen, "arcmin"))
    if targets.farthest_m is not None:
        least = text_height_px(coarse, targets.farthest_m)
        figures.append(Figure("smallest capital for the farthest seat", least, "px"))
    aside, away = data.one("aside_m"), data.one("away_m")
    if aside is not None and away is not None:
        widest = seat(data.wall.width_mm, coarse, aside.number, away.number)
        figures.append(Figure("angle at the widest seat", widest.off_axis_deg, "deg"))
    for camera in data.wall.file.cameras:
        figures += _framing(data, camera)
    wrong = j.refusals(data, {"seats_as_filed": "seats", "cameras_as_filed": "cameras"})
    phrases = [f"{f.name} {shown(f.value)} {f.unit}".strip() for f in figures[:3]]
    recorded = j.phrased(*phrases) or "Recorded; the wall file states no seat and no camera"
    reason = f"Not those of the plan: {listed(wrong)}" if wrong else recorded
    step = "Put the seats and cameras of the plan into the wall file and read its review again."
    return j.conclude(figures, reason, next_step=step, failed=wrong)


def _framing(data: CheckInput, camera: Camera) -> list[Figure]:
    if camera.focal_length_mm is None or camera.photosite_um is None:
        return []
    lens_mm, site_um = camera.focal_length_mm, camera.photosite_um
    sampled = optics.moire_sampling(data, camera, camera.distance_m, lens_mm, site_um)
    if not sampled:
        return []
    wanted = photosites_wanted(camera.sensor)
    clean_m = farthest_clean_distance_m(optics.finest_pitch_mm(data), lens_mm, site_um, wanted)
    name = f"farthest framing of that lens without moire, {camera.name}"
    return [*sampled, Figure(name, clean_m, "m")]


@method(fields="parts_complete accepted told_to?", limits="dark_cabinets")
def single_failures(data: CheckInput) -> Outcome:
    """Fail each part of the wall file once, on paper, and hold the darkest against what is agreed."""
    # Here, not at the top: most starts need no link graph.
    from commission_tui.wall.review.redundancy import graph_of

    failures = graph_of(data.wall).failures()
    shared = [f for f in failures if f.kind not in {"cabinet", "jumper"}]
    worst = max((len(f.dark) for f in failures), default=0)
    limit = data.limits["dark_cabinets"]
    bounded = limit if limit.high is not None else None
    figures = [
        j.judged("most cabinets dark from one failure", worst, limit=bounded, digits=6),
        Figure("parts whose failure darkens a cabinet", len(failures), digits=6),
    ]
    phrases = [f"{f.name} darkens {len(f.dark)}" for f in shared[:3]]
    wrong = j.refusals(
        data,
        {
            "parts_complete": "the wall file lacks parts",
            "accepted": "the client does not accept what one failure takes",
        },
    )
    over = [f.name for f in failures if limit.high is not None and len(f.dark) > limit.high]
    step = (
        "List the missing parts in the wall file; feed backups from another circuit and another "
        "trunk than the main ones, or have the client agree to what is lost."
    )
    reason = j.phrased(*wrong, *(phrases or ["no single failure darkens a shared part"]))
    return j.conclude(figures, reason, where=over, next_step=step, failed=wrong)


@method(
    fields="accepted accepted_by cooling_kw average_percent? rear_mm? rear_mm_least?",
    limits="cooling_of_average_percent",
)
def heat_balance(data: CheckInput) -> Outcome:
    """Hold the cooling that is set aside against what the wall gives off on average."""
    cooling = data.one("cooling_kw")
    average_w = _average_w(data)
    if cooling is None or average_w is None:
        return Outcome(Verdict.OPEN, "the cooling set aside and the average load are needed")
    most_w = data.wall.power_max_w
    rear, least = data.one("rear_mm"), data.one("rear_mm_least")
    share = 100_000 * cooling.number / average_w
    figures = [
        j.judged(
            "cooling against the average heat",
            share,
            "%",
            limit=data.limits["cooling_of_average_percent"],
            budget=budget_of(cooling, 100_000 / average_w),
        ),
        Figure("heat on average", average_w / 1000, "kW"),
        Figure("heat at most", most_w / 1000, "kW"),
        Figure("heat at most, in BTU/h", heat_btu_h(most_w), digits=5),
        Figure("heat on average, in tons of refrigeration", heat_tons(average_w)),
    ]
    if rear is not None and least is not None:
        ok = rear.number >= least.number
        figures.append(
            j.right_or_wrong("depth behind the wall", rear.number, "mm", ok=ok, digits=5)
        )
    words = "the HVAC designer has not accepted the heat load"
    refused = j.refusals(data, {"accepted": words})
    step = (
        "Give the HVAC designer the heat load, maximum and average, and have the answer in writing."
    )
    reason = j.phrased(*refused, j.clauses_of(figures))
    return j.conclude(figures, reason, next_step=step, failed=refused)


def _average_w(data: CheckInput) -> float | None:
    """Return the typical power of the wall file, else the stated share of the maximum."""
    share = data.one("average_percent")
    if share is not None:
        return data.wall.power_max_w * min(100.0, max(0.1, share.number)) / 100
    typical = [c.kind.power_typical_w for c in data.wall.cabinets.values()]
    known = [watts for watts in typical if watts is not None]
    return math.fsum(known) if len(known) == len(typical) else None


@method(fields="answer limits_agreed")
def design_review(data: CheckInput) -> Outcome:
    """Require an answer to every contradiction and overload that the review of the design finds."""
    findings = findings_to_answer(data.wall)
    answered = data.field("answer")
    kinds = Counter(finding.severity for finding in findings.values())
    unanswered = [name for name in findings if name not in answered]
    figures = [
        count_right("findings answered", len(findings), unanswered, digits=3),
        *(Figure(f"found by the review: {what}", n) for what, n in sorted(kinds.items())),
    ]
    disagreed = refusals(data, {"limits_agreed": "the limits are not agreed in writing"})
    usual = (
        f"{len(findings)} of {counted(len(findings), 'finding')} answered"
        if findings
        else "No contradiction, no overload"
    )
    parts = [f"Not answered: {listed(unanswered, 2)}"] if unanswered else []
    return conclude(
        figures,
        phrased(*parts, *disagreed) or usual,
        where=unanswered,
        next_step="Ask the author of the document which figure stands, and have the limits signed.",
        failed=disagreed,
    )
