"""How late the picture comes, where that time goes, and whether it stays so."""

from __future__ import annotations

import math
from statistics import fmean

from commission_tui.checks import judgement as j
from commission_tui.checks.error_budget import mean_budget, with_common_scatter
from commission_tui.checks.model.types import (
    CheckInput,
    Figure,
    Outcome,
    Reading,
    Readings,
    Verdict,
)
from commission_tui.checks.registry import method
from commission_tui.engineering.viewing.sync import ms_to_frames

_NOT_USABLE_MS = 100.0
"""Above this a speaker's own picture is of no use beside him (common practice)."""


@method(fields="latency_ms", limits="latency_ms")
def path_latency(data: CheckInput) -> Outcome:
    """Judge the mean of repeated shots on every path, and say how far they scatter."""
    by_path = _by_path(data.field("latency_ms"))
    limit = data.limits["latency_ms"]
    means: list[Figure] = []
    spreads: list[Figure] = []
    for path, readings in by_path.items():
        # Scatter of the shots, and what the timer itself is off.
        there = with_common_scatter(readings)
        mean, budget = fmean(reading.number for reading in there), mean_budget(there)
        name = f"latency of {path} (mean of {len(readings)})"
        means.append(j.judged(name, mean, "ms", limit=limit, budget=budget, place=path))
        numbers = [reading.number for reading in readings]
        spreads.append(j.judged(f"spread on {path}", max(numbers) - min(numbers), "ms"))
        spreads.append(j.judged(f"{path} in frames of the wall", _frames(data, mean), digits=2))
    means = j.worst_first(means)
    reason = j.sentence_of(means)
    useless = [figure.place for figure in means if figure.value > _NOT_USABLE_MS]
    if useless:
        reason += f"; above {_NOT_USABLE_MS:g} ms live pictures are not usable: {useless[0]}"
    step = "Bypass one device after another, then set the slowest to its low-latency mode."
    return j.conclude([*means, *spreads], reason, next_step=step)


def _by_path(readings: Readings) -> dict[str, list[Reading]]:
    """Group `camera mixer, 3 of 10` by what stands before the last comma."""
    found: dict[str, list[Reading]] = {}
    for place, reading in readings.items():
        found.setdefault(place.rsplit(", ", 1)[0], []).append(reading)
    return found


def _frames(data: CheckInput, ms: float) -> float:
    return math.copysign(ms_to_frames(abs(ms), data.wall.file.processor.frame_rate_hz), ms)


@method(fields="device_ms whole_ms", limits="off_frames")
def latency_by_device(data: CheckInput) -> Outcome:
    """Hold the sum of the devices against the whole path, and name the slowest device."""
    parts = data.needed_field("only the whole path is recorded", "device_ms")
    whole = data.one("whole_ms")
    total = math.fsum(reading.number for reading in parts.values())
    figures = [j.judged("sum of the devices", total, "ms")]
    if total > 0:
        slowest = max(parts, key=lambda device: parts[device].number)
        share = 100 * parts[slowest].number / total
        figures.append(j.judged(f"share of the {slowest}", share, "%", digits=2))
    if whole is not None:
        off = j.judged_from(
            "devices over the whole path, in frames",
            *(whole, *parts.values()),
            by=lambda all_ms, *each_ms: _frames(data, math.fsum(each_ms) - all_ms),
            limit=data.limits["off_frames"],
            digits=2,
        )
        figures.insert(0, off)
    remark = f"; most of it in the {slowest}, {share:.0f} %" if total > 0 else ""
    step = "A device was left out or counted twice: bypass each again and read the whole path."
    return j.conclude(figures, j.sentence_of(figures) + remark, next_step=step)


@method(fields="after_hours_ms after_format_ms", limits="drift_frames")
def latency_again(data: CheckInput) -> Outcome:
    """Hold the latency after hours of running, or after a change of format, against the first."""
    shots = _by_path(data.baseline.get("latency_ms", {}))
    first = {path: with_common_scatter(readings) for path, readings in shots.items()}
    drifts: list[Figure] = []
    unknown: list[str] = []
    for name, when in (
        ("after_hours_ms", "after hours"),
        ("after_format_ms", "after a change of format"),
    ):
        for path, reading in data.field(name).items():
            if path not in first:
                unknown.append(path)
                continue
            figure = j.judged_from(
                f"drift of {path} {when}, in frames",
                *(reading, *first[path]),
                by=lambda ms, *firsts: _frames(data, ms - fmean(firsts)),
                limit=data.limits["drift_frames"],
                digits=2,
                place=path,
            )
            drifts.append(figure)
    figures = j.worst_first(drifts)
    remark = f"no first latency of {unknown[0]} to hold this against" if unknown else ""
    verdict = j.worst_verdict(figure.verdict for figure in figures)
    if not figures or (remark and verdict is Verdict.PASS):
        return Outcome(Verdict.OPEN, remark or "nothing was read again", tuple(figures))
    step = "Look for a buffer that grows: lock source and wall to one reference, read again."
    return j.conclude(figures, j.phrased(j.clauses_of(figures), remark), next_step=step)


@method(fields="apart_ms", limits="apart_frames")
def screens_together(data: CheckInput) -> Outcome:
    """Judge how far the wall and the other screens that are seen with it are apart."""
    screens = data.needed_field("no screen was read beside the wall", "apart_ms")
    apart = j.judged_places(
        data,
        "wall and {} apart, in frames",
        "apart_ms",
        by=lambda ms: abs(_frames(data, ms)),
        limit="apart_frames",
        digits=2,
    )
    mean = fmean(reading.number for reading in screens.values())
    figures = [*apart, j.judged("mean, wall late is plus", mean, "ms")]
    step = "Delay the faster path by whole frames, or take the slower one off its frame store."
    return j.conclude(figures, next_step=step)
