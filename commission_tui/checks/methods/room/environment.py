"""The wall over hours and days: soak, temperatures, warm-up, heat to the air."""

from __future__ import annotations

from collections.abc import Mapping
from statistics import fmean

from commission_tui.checks import judgement as j
from commission_tui.checks.error_budget import extremes_budget
from commission_tui.checks.methods.light.chromaticity_limits import (
    judged_step,
    uv_apart,
    xy_readings,
)
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Reading, Verdict
from commission_tui.checks.places.places import DRIFT_MINUTES
from commission_tui.checks.registry import method
from commission_tui.engineering.numeric.bounds import RefusedError
from commission_tui.engineering.power.heat import heat_btu_h, heat_tons
from commission_tui.engineering.quality.pixel_faults import ppm
from commission_tui.engineering.structure.humidity import dew_point_c
from commission_tui.figures import shown
from commission_tui.wall.model.location import Cell

_FIRST_DAY = "after 24 h"
_END = "at the end"
_GROWING = 3
"""New pixel faults in the later part from which a rising pace is worth a word."""
_SETTLED, _LAST = "30 min", "60 min"
_STANDARD_ROOM_C = 25.0
"""Air at which limits of touch hold: IEC 62368-1:2018, table 38."""


@method(
    fields="soak_h new_units new_pixels air_c? humidity_percent?",
    limits="soak_h new_units new_pixels_ppm",
)
def soak(data: CheckInput) -> Outcome:
    """Judge what failed while the wall ran for days, and whether faults come faster."""
    figures = j.judged_at(data, "soak", "soak_h", unit="h", limit="soak_h")
    units, pixels = data.numbers("new_units"), data.numbers("new_pixels")
    if units:
        limit = data.limits["new_units"]
        figures.append(j.judged("modules and cabinets failed", sum(units.values()), limit=limit))
    if pixels:
        count = round(sum(pixels.values()))
        share = ppm(count, data.wall.lit_pixels)
        limit = data.limits["new_pixels_ppm"]
        figures.append(j.judged("new pixel faults per million", share, "ppm", limit=limit))
        figures.append(Figure("new pixel faults", count))
    growing = _growing(pixels, data.one("soak_h"))
    air, humidity = data.numbers("air_c"), data.numbers("humidity_percent")
    if dew := [dew_point_c(air[when], humidity[when]) for when in air if when in humidity]:
        figures.append(j.judged("highest dew point", max(dew), "°C"))
    step = "Change what failed, keep it as a sample, soak 24 h more without a new fault."
    if growing:
        step = f"{growing}: stop full white, note humidity and batch, keep a sample for the maker."
    reason = j.phrased(j.clauses_of(figures), growing)
    return j.conclude(figures, reason, where=[p for p, n in units.items() if n > 0], next_step=step)


def _growing(pixels: Mapping[str, float], hours: Reading | None) -> str:
    """Say that new faults come faster in the later part than on the first day."""
    if hours is None or hours.number <= 24 or not {_FIRST_DAY, _END} <= pixels.keys():
        return ""
    later = pixels[_END] / (hours.number - 24) * 24
    if pixels[_END] < _GROWING or later <= pixels[_FIRST_DAY]:
        return ""
    return (
        f"new faults come faster: {shown(pixels[_FIRST_DAY])} on the first day, "
        f"then {shown(later)} a day"
    )


@method(fields="card_c room_c", limits="card_c spread_k")
def card_temperatures(data: CheckInput) -> Outcome:
    """Judge the hottest card and the spread over the wall; say how the heat lies, row by row."""
    cards = data.needed_field("only the room is recorded", "card_c")
    hot = max(cards, key=lambda place: cards[place].number)
    cold = min(cards, key=lambda place: cards[place].number)
    high, low = cards[hot], cards[cold]
    figures = [
        j.judged_from(f"hottest card ({hot})", high, unit="°C", limit=data.limits["card_c"]),
        j.judged(
            f"hottest over coolest card ({cold})",
            high.number - low.number,
            "K",
            limit=data.limits["spread_k"],
            budget=extremes_budget(lambda bottom, top: top - bottom, cards),
        ),
    ]
    rows = _rows(data.numbers("card_c"))
    if room := data.one("room_c"):
        figures += [
            j.judged(f"mean rise over the room in row {row}", mean - room.number, "K")
            for row, mean in rows.items()
        ]
    top, bottom = min(rows), max(rows)
    remark = ""
    if top != bottom:
        apart = rows[top] - rows[bottom]
        side = "warmer" if apart > 0 else "cooler"
        remark = f"; top row {shown(abs(apart), 2)} K {side} than the bottom row"
    step = "Look for a stopped fan and a blocked air path at the named cabinet; ask for more air."
    return j.conclude(figures, j.sentence_of(figures) + remark, where=[hot], next_step=step)


def _rows(cards: Mapping[str, float]) -> dict[int, float]:
    rows: dict[int, list[float]] = {}
    for place, value in cards.items():
        rows.setdefault(Cell.parse(place).row, []).append(value)
    return {row: fmean(rows[row]) for row in sorted(rows)}


@method(fields="luminance_cd_m2 x y", limits="luminance_percent colour")
def warm_up_drift(data: CheckInput) -> Outcome:
    """Judge the change from half an hour to an hour; say how long this wall must warm up."""
    levels, colours = data.field("luminance_cd_m2"), xy_readings(data)
    figures: list[Figure] = []
    if {_SETTLED, _LAST} <= levels.keys():
        pair, limit = (levels[_SETTLED], levels[_LAST]), data.limits["luminance_percent"]
        if pair[0].number <= 0:
            raise RefusedError(f"luminance is {pair[0].number:g} cd/m², expected above 0 cd/m²")
        name, at = "luminance drift after 30 min", _SETTLED
        figures.append(
            j.judged_from(name, *pair, by=_percent, unit="%", limit=limit, digits=2, place=at)
        )
    if {_SETTLED, _LAST} <= colours.keys():
        name, both = "colour drift after 30 min, u'v'", (colours[_SETTLED], colours[_LAST])
        figures.append(judged_step(name, *both, limit=data.limits["colour"], place=_SETTLED))
    if not figures:
        return Outcome(Verdict.OPEN, "the readings at 30 and 60 min are needed")
    where, figures = j.bad_places(figures), j.worst_first(figures)
    settled = _settled_after(data)
    remark = f"; settled after {settled}" if settled else ""
    if settled:
        figures.append(Figure("warm-up this wall needs", float(settled.split()[0]), "min"))
    step = "Warm up longer before any photometry; look at the air behind the wall and read again."
    return j.conclude(figures, j.sentence_of(figures) + remark, where=where, next_step=step)


def _percent(first: float, later: float) -> float:
    return abs(100 * (later / first - 1))


def _settled_after(data: CheckInput) -> str:
    """Return the first minute from which all that follow lie within the limits of the last."""
    levels, colours = data.numbers("luminance_cd_m2"), xy_readings(data)
    most, apart = data.limits["luminance_percent"].high, data.limits["colour"].high
    if _LAST not in levels or levels[_LAST] <= 0 or most is None or apart is None:
        return ""
    settled = ""
    for minute in reversed(DRIFT_MINUTES):
        if levels.get(minute, 0.0) <= 0 or _percent(levels[minute], levels[_LAST]) > most:
            break
        if minute in colours and _LAST in colours:
            both = (*colours[minute], *colours[_LAST])
            if uv_apart(*(reading.number for reading in both)) > apart:
                break
        settled = minute
    return settled if settled != _LAST else ""


@method(fields="power_kw air_c air_handling_kw?", limits="power_kw share_percent")
def heat_to_air(data: CheckInput) -> Outcome:
    """Turn the wall's power into heat, and hold it against what the air handling carries off."""
    power, air = data.one("power_kw"), data.numbers("air_c")
    figures = _heat(data, power) if power is not None else []
    if {"supply air", "return air"} <= air.keys():
        rise = air["return air"] - air["supply air"]
        figures.append(j.judged("return air over supply air", rise, "K", digits=2))
    if not figures:
        return Outcome(Verdict.OPEN, "the power or both air temperatures are needed")
    reason = j.sentence_of(figures)
    if power is not None and all(figure.verdict is None for figure in figures):
        reason = (
            f"Heat at full white {shown(power.number)} kW recorded; "
            "no figure of the air handling to hold it against"
        )
    step = "Lower the level, or ask the air handling's engineer for more air before acceptance."
    return j.conclude(figures, reason, next_step=step)


def _heat(data: CheckInput, power: Reading) -> list[Figure]:
    limit = data.limits["power_kw"]
    figures = [j.judged_from("heat at full white", power, unit="kW", limit=limit)]
    carries = data.one("air_handling_kw")
    if carries is not None and carries.number > 0:
        figures += j.judged_at(
            data,
            "heat against what the air handling carries",
            *("power_kw", "air_handling_kw"),
            by=lambda kw, carries_kw: 100 * kw / carries_kw,
            unit="%",
            limit="share_percent",
        )
    if power.number >= 0:
        watts = 1000 * power.number
        figures.append(j.judged("the same", heat_btu_h(watts), "BTU/h"))
        figures.append(j.judged("the same in tons of cooling", heat_tons(watts)))
    return figures


@method(fields="plastic_c room_c metal_c?", limits="plastic_c metal_c")
def surface_temperature(data: CheckInput) -> Outcome:
    """Hold surfaces within reach against what holds in a room of 25 °C.

    In a cooler room the wall would be as much hotter as the room is cooler; in a warmer one the
    surface counts as it is, since a hand feels that.
    """
    (room,) = data.needed("the temperature of the room is not read yet", "room_c")

    def in_standard_room(surface: float, air: float) -> float:
        return surface + max(0.0, _STANDARD_ROOM_C - air)

    figures = j.worst_first(
        j.judged_from(
            f"{j.placed_label(data, name, place)}, in a room of 25 °C",
            *(reading, room),
            by=in_standard_room,
            unit="°C",
            limit=data.limits[name],
            place=place,
        )
        for name in ("plastic_c", "metal_c")
        for place, reading in data.field(name).items()
    )
    if not figures:
        return Outcome(Verdict.OPEN, "no surface is read yet")
    return j.conclude(
        [*figures, j.judged_from("air of the room", room, unit="°C")],
        j.sentence_of(figures),
        next_step="Keep people away from the named places, free the air's path or lower the level, "
        "and read again after an hour of white.",
    )
