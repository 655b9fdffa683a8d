"""Sources at their inputs: what they were told, what they send, how steadily it runs."""

from __future__ import annotations

from commission_tui.checks.error_budget import budget_of, function_budget
from commission_tui.checks.judgement import (
    Placed,
    answered_no,
    bad_places,
    clauses_of,
    conclude,
    judged,
    right_or_wrong,
    sentence_of,
    worst_first,
)
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Reading, Verdict
from commission_tui.checks.registry import method
from commission_tui.engineering.light.grey_scale import RangeSignature, range_mismatch
from commission_tui.engineering.viewing.frame_cadence import slip_period_s
from commission_tui.figures import shown
from commission_tui.text import listed, upper_first
from commission_tui.wall.model.file_model import Input

_FIGURES_SHOWN = 12
_SHARE = 0.1
"""Of full signal, that the shallow ramp covers."""
_CHROMAS = ("4:4:4", "4:2:2", "4:2:0")
_CLOCKS = (("source", "source_hz"), ("processor", "processor_hz"), ("wall", "wall_hz"))


@method(
    "edid_presented",
    fields=("preferred_width_px", "preferred_height_px", "preferred_hz", "bits"),
    limits=("rate_difference_hz",),
    optional_fields=("audio", "file"),
)
def edid_presented(data: CheckInput) -> Outcome:
    """Require that the source is told the designed raster, rate and depth."""
    placed = worst_first(item for one in data.wall.file.inputs for item in _told_to(data, one))
    figures = [figure for _, figure in placed[:_FIGURES_SHOWN]]
    bad = bad_places(placed)
    return conclude(
        figures,
        sentence_of(figures) if bad else "each source is told the designed format",
        where=bad,
        next_step="Load the design's EDID where the source reads it, at the last extender too.",
    )


def _told_to(data: CheckInput, one: Input) -> list[Placed]:
    figures: list[Figure] = []
    for what, field, wanted, unit in (
        ("width", "preferred_width_px", one.width_px, "px"),
        ("height", "preferred_height_px", one.height_px, "px"),
    ):
        if reading := data.one(field, one.name):
            figures.append(_wanted(one, what, reading.number, wanted, unit))
    if bits := data.one("bits", one.name):
        ok = bits.number >= one.bits
        name = f"{one.name}: bits" + ("" if ok else f" (designed: {one.bits})")
        figures.append(right_or_wrong(name, bits.number, ok=ok))
    if rate := data.one("preferred_hz", one.name):
        off = abs(rate.number - one.frame_rate_hz)
        limit = data.limits["rate_difference_hz"]
        name = f"{one.name}: preferred rate off"
        figures.append(judged(name, off, "Hz", limit=limit, expanded=budget_of(rate)))
    return [(one.name, figure) for figure in figures]


def _wanted(one: Input, what: str, found: float, wanted: float, unit: str) -> Figure:
    ok = found == wanted
    name = f"{one.name}: preferred {what}" + ("" if ok else f" (designed: {wanted:g})")
    return right_or_wrong(name, found, unit, ok=ok, digits=6)


@method(
    "range_levels",
    fields=("peak_cd_m2", "black_cd_m2", "code_235_cd_m2", "target_cd_m2"),
    optional_limits=("peak_ratio",),
)
def range_levels(data: CheckInput) -> Outcome:
    """Recognise from three luminances whether source and input agree on the range."""
    exponent = data.wall.file.targets.grey_exponent
    target = data.one("target_cd_m2")
    if target is None:
        return Outcome(Verdict.OPEN, "the level of the processor's own white is needed first")
    placed: list[Placed] = []
    wrong: dict[str, str] = {}
    for one in data.wall.file.inputs:
        readings = [data.one(f, one.name) for f in ("peak_cd_m2", "black_cd_m2", "code_235_cd_m2")]
        peak, black, near_white = readings
        if peak is None or black is None:
            continue
        found = range_mismatch(
            peak.number,
            black.number,
            target.number,
            exponent,
            # A limited source sends nothing above code 235: its white and its 235 are one.
            code_235_cd_m2=near_white.number if near_white and one.quantization == "full" else None,
        )
        placed.append((one.name, _peak_ratio(data, one, peak, target)))
        if found.signature is not RangeSignature.MATCHED:
            wrong[one.name] = f"{found.signature.value}: {found.reason}"
    return _ranges(placed, wrong)


def _peak_ratio(data: CheckInput, one: Input, peak: Reading, target: Reading) -> Figure:
    return judged(
        f"{one.name}: white over the processor's own white",
        peak.number / target.number,
        limit=data.limits.get("peak_ratio"),
        expanded=function_budget(lambda a, b: a / b, peak, target),
    )


def _ranges(placed: list[Placed], wrong: dict[str, str]) -> Outcome:
    order = worst_first(placed)
    figures = [figure for _, figure in order[:_FIGURES_SHOWN]]
    figures.append(
        right_or_wrong("inputs whose range is wrong", len(wrong), ok=not wrong, digits=5)
    )
    parts = [f"{name} looks like {words}" for name, words in wrong.items()]
    parts += [clauses_of(figures[:-1])] if bad_places(order) else []
    return conclude(
        figures,
        upper_first("; ".join(parts) or "white, black and code 235 fit one range at both ends"),
        where=list(dict.fromkeys([*wrong, *bad_places(order)])),
        next_step="Set the range of source and input alike, then read the three patches again.",
    )


@method("input_colour", fields=("bars_right", "text_clean", "sampling"))
def input_colour(data: CheckInput) -> Outcome:
    """Require the designed sampling of colour, right bars and coloured text without fringes."""
    figures: list[Figure] = []
    parts: list[str] = []
    where: list[str] = []
    for one in data.wall.file.inputs:
        found = data.one("sampling", one.name)
        if found is None or str(found.value) not in _CHROMAS:
            continue
        ok = _CHROMAS.index(str(found.value)) <= _CHROMAS.index(one.chroma)
        if not ok:
            parts.append(f"{one.name} runs at {found.value}, designed {one.chroma}")
            where.append(one.name)
    answered = len(data.field("sampling"))
    figures.append(
        right_or_wrong("inputs sampled as designed", answered - len(where), ok=not where, digits=5)
    )
    for field, words in (("bars_right", "wrong bars"), ("text_clean", "fringed text")):
        bad = answered_no(data, field)
        figures.append(right_or_wrong(f"inputs with {words}", len(bad), ok=not bad, digits=5))
        parts += [f"{words} on {listed(bad)}"] if bad else []
        where += [name for name in bad if name not in where]
    return conclude(
        figures,
        upper_first("; ".join(parts) or "bars right, coloured text clean, sampled as designed"),
        where=where,
        next_step="Set the colour format at the source; check what the link carries at this rate.",
    )


@method(
    "input_movement",
    fields=("source_hz", "processor_hz", "wall_hz", "slips", "watched_min"),
    limits=("rate_difference_hz", "slips"),
)
def input_movement(data: CheckInput) -> Outcome:
    """Hold three clocks against each other, and the slips seen against none."""
    watched = data.one("watched_min")
    placed = [item for one in data.wall.file.inputs for item in _movement(data, one.name, watched)]
    order = worst_first(placed)
    figures = [figure for _, figure in order[:_FIGURES_SHOWN]]
    bad = bad_places(order)
    return conclude(
        figures,
        sentence_of(figures) if bad else "all clocks at one rate, no frame slipped",
        where=bad,
        next_step="Run source, processor and wall from one reference; watch for five minutes again.",
    )


def _movement(data: CheckInput, name: str, watched: Reading | None) -> list[Placed]:
    clocks = [clock for _, field in _CLOCKS if (clock := data.one(field, name)) is not None]
    figures: list[Figure] = []
    if len(clocks) > 1:
        slow, fast = (pick(clocks, key=lambda clock: clock.number) for pick in (min, max))
        low, high = slow.number, fast.number
        beat = slip_period_s(low, high)
        words = f"{name}: clocks apart"
        limit = data.limits["rate_difference_hz"]
        if beat is not None and limit.high is not None and high - low > limit.high:
            words += f" (a frame slips every {shown(beat)} s)"
        apart = function_budget(lambda above, below: above - below, fast, slow)
        figures.append(judged(words, high - low, "Hz", limit=limit, expanded=apart))
        if beat is not None and watched is not None:
            figures.append(judged(f"{name}: slips to expect", watched.number * 60 / beat))
    if slips := data.one("slips", name):
        limit = data.limits["slips"]
        words = f"{name}: slips seen"
        figures.append(judged(words, slips.number, limit=limit, expanded=budget_of(slips)))
    return [(name, figure) for figure in figures]


@method("ramp_depth", fields=("steps_seen", "banding"))
def ramp_depth(data: CheckInput) -> Outcome:
    """Compare the steps of a shallow ramp with those that the input's depth has."""
    figures: list[Figure] = []
    for one in data.wall.file.inputs:
        if seen := data.one("steps_seen", one.name):
            sent = round(_codes(one) * _SHARE)
            figures.append(Figure(f"{one.name}: steps seen", seen.number, digits=5))
            figures.append(Figure(f"{one.name}: steps sent", sent, digits=5))
    good = data.good.get("banding", ("none",))
    seen_on = {p: str(r.value) for p, r in data.field("banding").items() if r.value not in good}
    ok = not seen_on
    counted = len(data.field("banding"))
    figures.insert(0, right_or_wrong("inputs without visible bands", counted - len(seen_on), ok=ok))
    parts = [f"{name}: {words}" for name, words in seen_on.items()]
    return conclude(
        figures,
        upper_first("; ".join(parts) or "no bands from the nearest seat at the house level"),
        where=list(seen_on),
        next_step="Look for an 8-bit leg in the path; raise the bit depth or the wall's level.",
    )


def _codes(one: Input) -> int:
    """Return the steps from black to white at the input's depth: 219 of 8 bits limited, 255 full."""
    return 219 << (one.bits - 8) if one.quantization == "limited" else (1 << one.bits) - 1
