"""The client's clip against what this wall, from its seats, can show."""

from __future__ import annotations

from dataclasses import replace

from commission_tui.checks.judgement import judged, judged_at
from commission_tui.checks.methods.plain_limits import with_answers
from commission_tui.checks.model.types import CheckInput, Figure, Outcome
from commission_tui.checks.registry import method
from commission_tui.engineering.structure.geometry import pitch_mm
from commission_tui.engineering.viewing.camera import frame_beat_hz
from commission_tui.engineering.viewing.flashing import flash_area_px
from commission_tui.engineering.viewing.viewing import text_arcmin, text_height_px
from commission_tui.figures import shown


@method(
    fields="sheet_given clip_keeps_rules clip? clip_width_px? clip_height_px? clip_hz? "
    "smallest_text_px? white_percent? flashes_per_s? flash_area_px? remarks?",
    limits="capital_arcmin? flashes_per_s? beat_hz? white_cd_m2?",
)
def content_sheet(data: CheckInput) -> Outcome:
    """Judge a clip's text, rate, white and flashes by the wall's own geometry and level."""
    flashes, records = _flashes(data)
    figures = (*_text(data), *_rate(data), *_white(data), *flashes)
    return with_answers(
        data,
        [replace(figure, place="wall") for figure in figures],
        records=[*records, *_least_text(data)],
        wrong=_raster(data),
        leave_out=data.readings,
        next_step="Go through the sheet with whoever makes the content; play the clip again once it "
        "is changed. A clip that flashes is not shown to an audience.",
    )


def _pitch(data: CheckInput) -> float:
    return max(pitch_mm(c.height_mm, c.height_px) for c in data.wall.cabinets.values())


def _text(data: CheckInput) -> list[Figure]:
    found, farthest = data.one("smallest_text_px"), data.wall.file.targets.farthest_m
    if found is None or farthest is None:
        return []
    seen = text_arcmin(round(found.number), _pitch(data), farthest)
    name = "smallest capital of the clip from the farthest seat"
    return [judged(name, seen, "arcmin", limit=data.limits.get("capital_arcmin"), digits=4)]


def _least_text(data: CheckInput) -> list[Figure]:
    farthest = data.wall.file.targets.farthest_m
    if farthest is None:
        return []
    least = text_height_px(_pitch(data), farthest)
    return [Figure("smallest capital for the farthest seat", least, "px", digits=5)]


def _raster(data: CheckInput) -> list[str]:
    """Say when the clip's raster is neither the wall's nor that of an input."""
    width, height = data.one("clip_width_px"), data.one("clip_height_px")
    if width is None or height is None:
        return []
    size = (round(width.number), round(height.number))
    inputs = {(item.width_px, item.height_px) for item in data.wall.file.inputs}
    if size in inputs | {(data.wall.width_px, data.wall.height_px)}:
        return []
    return [f"the clip's raster of {size[0]} x {size[1]} px is neither the wall's nor an input's"]


def _rate(data: CheckInput) -> list[Figure]:
    clip = data.one("clip_hz")
    if clip is None or clip.number <= 0:
        return []
    rates = [item.frame_rate_hz for item in data.wall.file.inputs]
    rates.append(data.wall.file.processor.frame_rate_hz)
    beat = min(frame_beat_hz(clip.number, rate) for rate in rates)
    name = f"beats of the clip's {shown(clip.number, 5)} Hz with the nearest rate of the wall"
    return [judged(name, beat, "Hz", limit=data.limits.get("beat_hz"))]


def _white(data: CheckInput) -> list[Figure]:
    """Say what light the clip's white is at the house level."""
    white, level = data.one("white_percent"), data.wall.file.targets.house_level_cd_m2
    if white is None or level is None:
        return []
    light = level * max(0.0, white.number / 100) ** data.wall.file.targets.grey_exponent
    name = "the clip's white at the house level"
    return [judged(name, light, "cd/m2", limit=data.limits.get("white_cd_m2"))]


def _flashes(data: CheckInput) -> tuple[list[Figure], list[Figure]]:
    """Judge the flashes of an area that is too large for the nearest eye."""
    area, nearest = data.one("flash_area_px"), data.wall.file.targets.nearest_m
    if nearest is None:
        return [], []
    allowed = flash_area_px(_pitch(data), nearest, data.wall.width_px, data.wall.height_px)
    records = [Figure("area that may flash together", allowed, "px", digits=5)]
    large = area is None or area.number > allowed
    limit = "flashes_per_s" if large else None
    return judged_at(data, "flashes in a second", "flashes_per_s", limit=limit), records
