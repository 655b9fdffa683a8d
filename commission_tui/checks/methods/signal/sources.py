"""Sources at their inputs: what they were told, what they send, how steadily it runs and is locked."""

from __future__ import annotations

import operator

from commission_tui.checks import judgement as j
from commission_tui.checks.error_budget import function_budget
from commission_tui.checks.methods.plain_limits import with_answers
from commission_tui.checks.methods.signal.inputs import as_designed, rate_off
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Reading, Verdict
from commission_tui.checks.registry import method
from commission_tui.engineering.light.grey_scale import RangeSignature, range_mismatch
from commission_tui.engineering.light.transfer import Transfer, signal_luminance_cd_m2
from commission_tui.engineering.viewing.camera import frame_beat_hz
from commission_tui.engineering.viewing.frame_cadence import drift_slip_s, slip_period_s
from commission_tui.figures import shown
from commission_tui.text import listed
from commission_tui.wall.model.file_model import Input

_FIGURES_SHOWN = 12
_SHARE = 0.1
"""Of full signal, that the shallow ramp covers."""
_CHROMAS = ("4:4:4", "4:2:2", "4:2:0")
_CLOCKS = (("source", "source_hz"), ("processor", "processor_hz"), ("wall", "wall_hz"))
_CURVES: tuple[Transfer, ...] = ("PQ", "HLG")
_TOO_DARK_CD_M2 = 0.1
"""Below it the room and the meter's dark offset are as large as the patch."""


@method(
    fields="preferred_width_px preferred_height_px preferred_hz bits audio? file?",
    limits="rate_difference_hz",
)
def edid_presented(data: CheckInput) -> Outcome:
    """Require that the source is told the designed raster, rate and depth."""
    worst_first = j.worst_first(
        item for one in data.wall.file.inputs for item in _presented(data, one)
    )
    figures = worst_first[:_FIGURES_SHOWN]
    return j.conclude(
        figures,
        j.sentence_of(figures)
        if j.bad_places(worst_first)
        else "each source is told the designed format",
        where=j.bad_places(worst_first),
        next_step="Load the design's EDID where the source reads it, at the last extender too.",
    )


def _presented(data: CheckInput, one: Input) -> list[Figure]:
    return [
        *as_designed(data, one, "preferred width", "preferred_width_px", one.width_px),
        *as_designed(data, one, "preferred height", "preferred_height_px", one.height_px),
        *as_designed(data, one, "bits", "bits", one.bits, unit=""),
        *rate_off(data, one, "preferred_hz", "preferred rate"),
    ]


@method(fields="peak_cd_m2 black_cd_m2 code_235_cd_m2 target_cd_m2", limits="peak_ratio?")
def range_levels(data: CheckInput) -> Outcome:
    """Recognise from three luminances whether source and input agree on the range."""
    exponent = data.wall.file.targets.grey_exponent
    words = "the level of the processor's own white is needed first"
    (target,) = data.needed(words, "target_cd_m2")
    placed: list[Figure] = []
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
        ratio = j.judged_from(
            f"{one.name}: white over the processor's own white",
            *(peak, target),
            by=operator.truediv,
            limit=data.limits.get("peak_ratio"),
            place=one.name,
        )
        placed.append(ratio)
        if found.signature is not RangeSignature.MATCHED:
            wrong[one.name] = f"{found.signature.value}: {found.reason}"
    worst_first = j.worst_first(placed)
    figures = worst_first[:_FIGURES_SHOWN]
    parts = [f"{name} looks like {words}" for name, words in wrong.items()]
    parts += [j.clauses_of(figures)] if j.bad_places(worst_first) else []
    return j.conclude(
        [*figures, j.count_wrong("inputs whose range is wrong", wrong)],
        j.phrased(*parts) or "White, black and code 235 fit one range at both ends",
        where=[*wrong, *j.bad_places(worst_first)],
        next_step="Set the range of source and input alike, then read the three patches again.",
    )


@method(fields="bars_right text_clean sampling")
def input_colour(data: CheckInput) -> Outcome:
    """Require the designed sampling of colour, right bars and coloured text without fringes."""
    parts: list[str] = []
    where: list[str] = []
    for one in data.wall.file.inputs:
        found = data.one("sampling", one.name)
        if found is None or str(found.value) not in _CHROMAS:
            continue
        if _CHROMAS.index(str(found.value)) > _CHROMAS.index(one.chroma):
            parts.append(f"{one.name} runs at {found.value}, designed {one.chroma}")
            where.append(one.name)
    figures = [j.count_right("inputs sampled as designed", len(data.field("sampling")), where)]
    for field, words in (("bars_right", "wrong bars"), ("text_clean", "fringed text")):
        bad = j.answered_no(data, field)
        figures.append(j.count_wrong(f"inputs with {words}", bad))
        parts += [f"{words} on {listed(bad)}"] if bad else []
        where += bad
    return j.conclude(
        figures,
        j.phrased(*parts) or "Bars right, coloured text clean, sampled as designed",
        where=where,
        next_step="Set the colour format at the source; check what the link carries at this rate.",
    )


@method(
    fields="source_hz processor_hz wall_hz slips watched_min", limits="rate_difference_hz slips"
)
def input_movement(data: CheckInput) -> Outcome:
    """Hold three clocks against each other, and the slips seen against none."""
    watched = data.one("watched_min")
    placed = [item for one in data.wall.file.inputs for item in _movement(data, one.name, watched)]
    worst_first = j.worst_first(placed)
    figures = worst_first[:_FIGURES_SHOWN]
    bad = j.bad_places(worst_first)
    return j.conclude(
        figures,
        j.sentence_of(figures) if bad else "all clocks at one rate, no frame slipped",
        where=bad,
        next_step="Run source, processor and wall from one reference; watch for five minutes again.",
    )


def _movement(data: CheckInput, name: str, watched: Reading | None) -> list[Figure]:
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
        figures.append(
            j.judged_from(words, fast, slow, by=operator.sub, unit="Hz", limit=limit, place=name)
        )
        if beat is not None and watched is not None:
            expect = watched.number * 60 / beat
            figures.append(j.judged(f"{name}: slips to expect", expect, place=name))
    return figures + j.judged_at(data, f"{name}: slips seen", "slips", at=name, limit="slips")


@method(fields="steps_seen banding")
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
    shown_on = j.count_right(
        "inputs without visible bands", len(data.field("banding")), seen_on, digits=3
    )
    parts = [f"{name}: {words}" for name, words in seen_on.items()]
    return j.conclude(
        [shown_on, *figures],
        j.phrased(*parts) or "No bands from the nearest seat at the house level",
        where=seen_on,
        next_step="Look for an 8-bit leg in the path; raise the bit depth or the wall's level.",
    )


def _codes(one: Input) -> int:
    """Return the steps from black to white at the input's depth: 219 of 8 bits limited, 255 full."""
    return 219 << (one.bits - 8) if one.quantization == "limited" else (1 << one.bits) - 1


@method(
    fields="right_without right_with transfer patch_cd_m2? patch_transfer?",
    limits="patch_error_percent?",
)
def high_dynamic_range(data: CheckInput) -> Outcome:
    """Judge each patch against the curve of ITU-R BT.2100, up to the wall's own peak."""
    curve = _curve(data)
    placed = [] if curve is None else _patches(data, curve)
    outcome = with_answers(
        data,
        placed,
        remark=f"patches held against {curve}" if placed else "",
        leave_out={"patch_cd_m2"},
        next_step="Set transfer, peak and range of this input anew, and read the patches again.",
    )
    if curve is not None and not placed and outcome.verdict is Verdict.PASS:
        return Outcome(Verdict.OPEN, f"{curve} is in use: the light of the patches is needed")
    return outcome


def _curve(data: CheckInput) -> Transfer | None:
    """Return the curve that the patches went through; None where there is none, or two."""
    transfer = data.one("patch_transfer")
    seen = {transfer.value} if transfer else {r.value for r in data.field("transfer").values()}
    found = [curve for curve in _CURVES if curve in seen]
    return found[0] if len(found) == 1 else None


def _patches(data: CheckInput, curve: Transfer) -> list[Figure]:
    read = data.field("patch_cd_m2")
    peak = data.wall.file.targets.luminance_cd_m2
    if peak is None:
        peak = max((reading.number for reading in read.values()), default=0.0)
    if not 100 <= peak <= 10_000:
        return []
    wanted = {at: signal_luminance_cd_m2(curve, float(at.split()[0]) / 100, peak) for at in read}
    right = {at: Reading(cd_m2) for at, cd_m2 in wanted.items() if cd_m2 >= _TOO_DARK_CD_M2}
    return j.judged_places(
        data,
        "light at {} from the curve",
        *("patch_cd_m2", right),
        by=lambda cd_m2, right: 100 * (cd_m2 / right - 1),
        unit="%",
        limit="patch_error_percent",
    )


@method(
    fields="locked relocks reference_hz processor_hz? phase_us? phase_later_us? watched_min?",
    limits="beat_hz? drift_us_min?",
)
def reference_lock(data: CheckInput) -> Outcome:
    """Hold the reference's rate against the processor's, and the phase against itself later."""
    reference, processor = data.one("reference_hz"), data.one("processor_hz")
    wall_hz = data.wall.file.processor.frame_rate_hz if processor is None else processor.number
    placed: list[Figure] = []
    records: list[Figure] = []
    if reference is not None and reference.number > 0 and wall_hz > 0:
        name = f"beats of the reference with the processor at {shown(wall_hz, 5)} Hz"
        beat = frame_beat_hz(reference.number, wall_hz)
        placed.append(j.judged(name, beat, "Hz", limit=data.limits.get("beat_hz"), place="wall"))
        drift, records = _phase(data, reference.number)
        placed += drift
    return with_answers(
        data,
        placed,
        records=records,
        leave_out=data.readings,
        next_step="Set reference, sources and processor to one rate, end the reference once, and read "
        "the phase again after a few minutes.",
    )


def _phase(data: CheckInput, reference_hz: float) -> tuple[list[Figure], list[Figure]]:
    """Judge the phase's drift; record it as a share of the frame, and how soon it slips by a whole one."""
    first, later, watched = map(data.one, ("phase_us", "phase_later_us", "watched_min"))
    if first is None:
        return [], []
    records = [j.judged("phase, of a frame", 100 * first.number * 1e-6 * reference_hz, "%")]
    if later is None or watched is None or watched.number <= 0:
        return [], records
    minutes, moved = watched.number, later.number - first.number
    drift = j.judged(
        "drift of the phase in a minute",
        abs(moved) / minutes,
        "µs",
        limit=data.limits.get("drift_us_min"),
        budget=function_budget(lambda before, after: (after - before) / minutes, first, later),
        place="wall",
    )
    slip = drift_slip_s(moved, 60 * minutes, reference_hz)
    if slip is not None:
        records.append(j.judged("time until this drift is a whole frame", slip / 3600, "h"))
    return [drift], records
