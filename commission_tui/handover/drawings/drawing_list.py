"""Which drawings and charts a job's document has."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from statistics import fmean
from typing import TypeVar

from commission_tui.engineering.colour.colorimetry import delta_uv_prime, xy_to_uv_prime
from commission_tui.errors import InputError
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.drawings import wall_drawing, wall_maps
from commission_tui.handover.drawings.chart_drawing import plotted
from commission_tui.handover.drawings.wall_drawing import Drawing
from commission_tui.logbook.charts.chart_model import Chart
from commission_tui.logbook.charts.reading_charts import charts
from commission_tui.logbook.judging.visits import visit_names
from commission_tui.logbook.plan.visit_comparison import compare
from commission_tui.wall.model.location import Cell, Location, parse_location

_LARGEST = 1e9
_Found = TypeVar("_Found")


def drawings(context: Context) -> Iterator[tuple[str, Drawing]]:
    """Yield every drawing with the part of the document where it belongs: wall, chart or map."""
    wall = context.wall
    yield "wall", wall_drawing.data_view(wall)
    yield "wall", wall_drawing.data_view(wall, rear=True)
    if wall.circuits:
        yield "wall", wall_drawing.circuits_view(wall)
    if wall.file.suspension_points:
        yield "wall", wall_maps.suspension_view(wall, _loads(context))
    if serials := _serials(context):
        yield "wall", wall_maps.serials_view(wall, serials)
    if marks := _fault_marks(context):
        yield "punch", wall_maps.faults_view(wall, marks)
    points = context.numbers("nine_point_brightness", "luminance_cd_m2")
    if points:
        yield "chart", wall_maps.nine_points(wall, points)
    # Side by side: the wide ones first, so that a tall one does not stand beside a hole.
    for chart in sorted(charts(context.job), key=lambda chart: chart.is_true_to_scale):
        if not chart.is_empty and _can_be_drawn(chart):
            yield "chart", plotted(chart)
    levels = context.numbers("cabinet_luminance", "luminance_cd_m2")
    if by_cell := _at_cabinets(context, levels):
        yield "map", wall_maps.luminance_map(wall, by_cell, _marked(context))
    if len(shifts := _colour_shifts(context)) > 1:
        yield "map", wall_maps.colour_map(wall, shifts)
    yield from _changes(context)


def _loads(context: Context) -> dict[str, list[str]]:
    """Return what each point carries: predicted (p) and measured (m), as far as it is known."""
    measured = context.numbers("suspension_loads", "load_kn")
    return {
        point.name: [
            f"{which} {context.printing.quantity(load, 'kN', 3)}"
            for which, load in (("p", point.predicted_kn), ("m", measured.get(point.name)))
            if load is not None
        ]
        for point in context.wall.file.suspension_points
    }


def _can_be_drawn(chart: Chart) -> bool:
    """Whether no number in it was a slip of the keys that no axis can hold."""
    return all(abs(value) < _LARGEST for s in chart.series for point in s.points for value in point)


def _colour_shifts(context: Context) -> dict[Cell, float]:
    """Return the distance in u'v' of each cabinet's white from that of the wall as a whole."""
    xs, ys = (
        _at_cabinets(context, context.numbers("cabinet_luminance", axis)) for axis in ("x", "y")
    )
    try:
        found = {cell: xy_to_uv_prime(x, ys[cell]) for cell, x in xs.items() if cell in ys}
    except ValueError:  # no chromaticity at all; the check itself says so
        return {}
    if not found:
        return {}
    mean = (fmean(u for u, _ in found.values()), fmean(v for _, v in found.values()))
    return {cell: delta_uv_prime(point, mean) for cell, point in found.items()}


def _serials(context: Context) -> dict[Cell, str]:
    """Return the serial of each cabinet as it hangs now."""
    found = {
        logged.body.location: logged.body.serial
        for logged in context.state.parts
        if logged.body.part == "cabinet"
    }
    return _at_cabinets(context, found)


def _fault_marks(context: Context) -> list[tuple[int, Location]]:
    """Return the number and the place of each fault that lies on one cabinet of this wall."""
    found = []
    for fault in context.faults:
        try:
            place = context.wall.resolve(parse_location(fault.found.body.location))
        except InputError:
            continue
        if place.cell in context.wall.cabinets:
            found.append((fault.number, place))
    return found


def _changes(context: Context) -> Iterator[tuple[str, Drawing]]:
    """Yield a map of the change of luminance for each later visit that read cabinets again."""
    for number, visit in enumerate(visit_names(context.state)[1:], start=1):
        pairs = compare(context.state, 0, number).pairs
        moved = {
            pair.place: pair.percent
            for pair in pairs
            if pair.unit == "cd/m2" and pair.percent is not None
        }
        if cells := _at_cabinets(context, moved):
            yield "visit", wall_maps.change_view(context.wall, cells, f"change-{number}", visit)


def _at_cabinets(context: Context, found: Mapping[str, _Found]) -> dict[Cell, _Found]:
    """Return what was found at places that are cabinets of this wall."""
    return {cell: found[str(cell)] for cell in context.wall.cabinets if str(cell) in found}


def _marked(context: Context) -> frozenset[Cell]:
    """Return the worst cabinets that the outcome names."""
    known = {str(cell): cell for cell in context.wall.cabinets}
    worst = dict.fromkeys(
        known[place]
        for check in context.by_method("cabinet_luminance")
        for place in context.outcomes[check.id].where
        if place in known
    )
    return frozenset([*worst][: wall_maps.MOST_MARKED])
