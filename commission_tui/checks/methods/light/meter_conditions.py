"""How the meter stands, what the room adds, and what limiters and controls do to the level."""

from __future__ import annotations

from commission_tui.checks import judgement as j
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Reading, Verdict
from commission_tui.checks.registry import method
from commission_tui.engineering.light.brightness_control import proportional_error_percent
from commission_tui.engineering.light.metering_set_up import (
    frames_integrated,
    least_distance_m,
    off_whole_frames,
    pixels_in_spot,
    spot_diameter_mm,
)
from commission_tui.engineering.light.photometry import setting_for_luminance
from commission_tui.engineering.structure.geometry import pitch_mm
from commission_tui.figures import shown
from commission_tui.text import upper_first

_DECLARED = "declared by the maker"
_OWN_CURVE = "its own curve, on record"


@method(
    fields="distance_m field_deg integration_ms height_m? off_normal_deg? warm_up_min?",
    limits="spot_pixels timing_percent off_normal_deg? warm_up_min?",
)
def meter_set_up(data: CheckInput) -> Outcome:
    """Judge spot, timing, angle and warm-up before the first reading is worth anything."""
    figures = [
        *_spot(data),
        *_timing(data),
        *j.judged_at(
            data, "angle off square", "off_normal_deg", unit="deg", limit="off_normal_deg"
        ),
        *j.judged_at(data, "warm-up", "warm_up_min", unit="min", limit="warm_up_min"),
    ]
    if not figures:
        return Outcome(Verdict.OPEN, "distance and field are needed for the spot")
    return j.conclude(figures, next_step=_where_to_stand(data))


def _pitches(data: CheckInput) -> tuple[float, float]:
    """Return the coarsest pitch of the wall, across and down."""
    kinds = data.wall.cabinets.values()
    across = max(pitch_mm(c.width_mm, c.width_px) for c in kinds)
    return across, max(pitch_mm(c.height_mm, c.height_px) for c in kinds)


def _spot(data: CheckInput) -> list[Figure]:
    distance, field = data.one("distance_m"), data.one("field_deg")
    if distance is None or field is None:
        return []
    across, down = _pitches(data)

    def pixels(distance_m: float, field_deg: float) -> float:
        return pixels_in_spot(distance_m, field_deg, across, down)

    return [
        j.judged_from(
            "pixels in the spot",
            distance,
            field,
            by=pixels,
            unit="px",
            limit=data.limits["spot_pixels"],
        ),
        j.judged("width of the spot", spot_diameter_mm(distance.number, field.number), "mm"),
    ]


def _timing(data: CheckInput) -> list[Figure]:
    reading = data.one("integration_ms")
    if reading is None:
        return []
    rate = data.wall.file.processor.frame_rate_hz
    frames = frames_integrated(reading.number, rate)
    part = 100 * off_whole_frames(reading.number, rate) / frames
    limit = data.limits["timing_percent"]
    return [
        j.judged("reading error from partial frames", part, "%", limit=limit, digits=2),
        j.judged("frames in a reading", frames),
    ]


def _where_to_stand(data: CheckInput) -> str:
    parts = []
    field, wanted = data.one("field_deg"), data.limits["spot_pixels"].low
    if field is not None and wanted:
        nearest = least_distance_m(field.number, *_pitches(data), wanted)
        parts.append(f"Stand at least {shown(nearest)} m away with this field, square to the wall")
    rate = data.wall.file.processor.frame_rate_hz
    parts.append(f"set a measuring time of whole frames (a multiple of {shown(1000 / rate)} ms)")
    return upper_first("; ".join(parts)) + "; let the wall warm up."


@method(fields="dark_cd_m2 lowest_cd_m2 subtracted", limits="share_percent")
def dark_offset(data: CheckInput) -> Outcome:
    """Judge what the room adds to the lowest reading, unless it is taken off."""
    words = "the dark wall and the lowest reading are needed"
    (lowest,), dark = data.needed(words, "lowest_cd_m2"), data.needed_field(words, "dark_cd_m2")
    most = max(dark, key=lambda place: dark[place].number)
    off = data.says("subtracted", True)
    figure = j.judged_from(
        f"the room adds at the {most}",
        *(dark[most], lowest),
        by=j.share_of("the lowest reading", "cd/m²"),
        unit="% of the lowest reading",
        limit=None if off else data.limits["share_percent"],
        digits=2,
        place=most,
    )
    reason = f"{upper_first(j.against_limit(figure))}, and is taken off" if off else ""
    step = "Darken the room, or measure the dark wall at each place and take it off each reading."
    return j.conclude([figure], reason, next_step=step)


@method(fields="window_cd_m2 full_cd_m2 limiter", limits="full_over_window")
def window_ratio(data: CheckInput) -> Outcome:
    """Hold full white against a window of white: the same, unless a limiter is declared."""
    words = "both the window and full white are needed"
    window, full = data.needed(words, "window_cd_m2", "full_cd_m2")
    declared = data.says("limiter", _DECLARED)
    figure = j.judged_from(
        "full white over window",
        full,
        window,
        by=j.share_of("the window", "cd/m²", times=1.0),
        limit=None if declared else data.limits["full_over_window"],
    )
    reason = f"{upper_first(j.against_limit(figure))}; a limiter is declared" if declared else ""
    step = "Look for a power limiter in the processor, then for supplies that sag on white."
    return j.conclude([figure], reason, next_step=step)


@method(fields="luminance_cd_m2 law", limits="proportional_percent")
def brightness_control(data: CheckInput) -> Outcome:
    """Judge whether each setting gives its share of full light; record the table either way."""
    readings = data.field("luminance_cd_m2")
    full = readings.get("100 %")
    if full is None:
        return Outcome(Verdict.OPEN, "the reading at 100 % is needed first")
    own = data.says("law", _OWN_CURVE)
    limit = None if own else data.limits["proportional_percent"]
    errors = j.judged_places(
        data,
        "error of the light at {}",
        *("luminance_cd_m2", full, {at: Reading(float(at.split()[0])) for at in readings}),
        but={"100 %"},
        by=lambda light, full, setting: proportional_error_percent(setting, light, full),
        unit="%",
        limit=limit,
    )
    setting = _house_setting(data)
    figures = errors[:1]
    figures += [j.judged(f"luminance at {at}", r.number, "cd/m2") for at, r in readings.items()]
    figures += setting
    reason = j.sentence_of(figures) if errors and not own else ""
    if own:
        house = f"; the house level is at {shown(setting[0].value)} %" if setting else ""
        reason = f"The control has its own curve, which is on record{house}"
    step = (
        "Find out whether the control acts on the code or on the light; record the table and give "
        "it to whoever sets the level."
    )
    return j.conclude(figures, reason, where=j.bad_places(errors), next_step=step)


def _house_setting(data: CheckInput) -> list[Figure]:
    """Return the setting that gives the house level; none where it is not within the table."""
    wanted = data.wall.file.targets.house_level_cd_m2
    levels: list[tuple[float, float]] = sorted(
        (float(place.split()[0]), level) for place, level in data.numbers("luminance_cd_m2").items()
    )
    if wanted is None or len(levels) < 2:
        return []
    try:
        found = setting_for_luminance([s for s, _ in levels], [v for _, v in levels], wanted)
    except ValueError:
        return []
    return [j.judged("setting for the house level", found, "%")]
