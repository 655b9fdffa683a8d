"""A first wall file for a plain grid: ports and circuits shared out so that nothing is overloaded."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from commission_tui.engineering.power.power import cabinets_per_circuit
from commission_tui.engineering.signal.data_link import LoadRule, split_chain
from commission_tui.engineering.structure.geometry import Rectangle
from commission_tui.errors import InputError
from commission_tui.text import counted
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_file import parse_wall, route

_SPARE_SHARE = 0.05
_MOST_CABINETS = 20_000


@dataclass(frozen=True, slots=True)
class Plan:
    """What a person must say of a plain grid before the rest can be worked out."""

    name: str
    site: str
    mounting: str
    columns: int
    rows: int
    cabinet_mm: tuple[float, float]
    cabinet_px: tuple[int, int]
    modules: tuple[int, int]
    weight_kg: float
    power_max_w: float
    power_factor: float
    ports: int
    pixels_per_port: int
    load_rule: LoadRule
    frame_rate_hz: float
    voltage_v: float
    breaker_a: float


def new_wall_text(plan: Plan) -> str:
    """Write the wall file of a plain grid.

    Chains follow the rows in a serpentine from top left and leave 5 % of each port free; circuits
    take the rows in order, evenly, over three phases.

    Raises
    ------
    InputError
        When the ports or a circuit cannot carry it, or a figure has no meaning.
    WallFileError
        When a name or a figure is not what a wall file takes.
    """
    if not 1 <= plan.columns * plan.rows <= _MOST_CABINETS or min(plan.columns, plan.rows) < 1:
        raise InputError(
            f"grid: found {plan.columns} x {plan.rows}, expected 1 to {_MOST_CABINETS} cabinets"
        )
    try:
        text = "\n".join([*_head(plan), *_chains(plan), *_circuits(plan), *_rest()])
    except ValueError as error:
        raise InputError(f"wall new: {error}") from None
    parse_wall(text, "wall new")
    return text


def _text(value: str) -> str:
    """Quote as TOML; a JSON string is a TOML basic string, but for the raw DEL that JSON allows."""
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


def _head(plan: Plan) -> Iterable[str]:
    yield "# Written by 'commission-tui wall new': a plain grid. Change what differs on this wall,"
    yield "# then run 'commission-tui wall review' on it."
    yield ""
    yield "[wall]"
    yield f"name = {_text(plan.name)}"
    yield f"site = {_text(plan.site)}"
    yield f"mounting = {_text(plan.mounting)}"
    yield ""
    yield "[cabinet_types.A]"
    for key, value in (
        ("width_mm", plan.cabinet_mm[0]),
        ("height_mm", plan.cabinet_mm[1]),
        ("width_px", plan.cabinet_px[0]),
        ("height_px", plan.cabinet_px[1]),
        ("module_columns", plan.modules[0]),
        ("module_rows", plan.modules[1]),
        ("weight_kg", plan.weight_kg),
        ("power_max_w", plan.power_max_w),
        ("power_factor", plan.power_factor),
    ):
        yield f"{key} = {value:.15g}" if isinstance(value, float) else f"{key} = {value}"
    yield ""
    yield "[grid]"
    yield f"columns = {plan.columns}"
    yield f"rows = {plan.rows}"
    yield 'type = "A"'
    yield ""
    yield "[processor]"
    yield f"ports = {plan.ports}"
    yield f"pixels_per_port = {plan.pixels_per_port}"
    yield f"load_rule = {_text(plan.load_rule)}"
    yield f"frame_rate_hz = {plan.frame_rate_hz:.15g}"


def _cells(plan: Plan) -> tuple[Cell, ...]:
    whole = {Cell(r, c) for r in range(1, plan.rows + 1) for c in range(1, plan.columns + 1)}
    return route(whole, "rows, serpentine, from top left")


def _chains(plan: Plan) -> Iterable[str]:
    cells = _cells(plan)
    across, down = plan.cabinet_px
    boxes = [Rectangle((c.column - 1) * across, (c.row - 1) * down, across, down) for c in cells]
    links = split_chain(boxes, plan.pixels_per_port, rule=plan.load_rule, spare_share=_SPARE_SHARE)
    if len(links) > plan.ports:
        raise InputError(
            f"ports: found {plan.ports}, expected at least {len(links)} for {counted(len(cells), 'cabinet')} "
            f"at {plan.pixels_per_port} px a port, 5 % kept free"
        )
    for port, link in enumerate(links, start=1):
        yield ""
        yield "[[chains]]"
        yield f"port = {port}"
        yield f"order = {_listed(cells[index] for index in link)}"


def _circuits(plan: Plan) -> Iterable[str]:
    most = cabinets_per_circuit(plan.breaker_a, plan.voltage_v, plan.power_max_w, plan.power_factor)
    if most < 1:
        raise InputError(
            f"breaker: found {plan.breaker_a:g} A, too small for one cabinet of {plan.power_max_w:g} W"
        )
    cells = sorted(_cells(plan))
    for number, group in enumerate(_even_groups(cells, most), start=1):
        phase = f"L{(number - 1) % 3 + 1}"
        yield ""
        yield "[[circuits]]"
        yield f'name = "C{number}-{phase}"'
        yield f'phase = "{phase}"'
        yield f"voltage_v = {plan.voltage_v:.15g}"
        yield f"breaker_a = {plan.breaker_a:.15g}"
        yield f"cabinets = {_listed(group)}"


def _even_groups(cells: Sequence[Cell], most: int) -> Iterable[Sequence[Cell]]:
    """Cut into the fewest groups, made a multiple of three where there are enough cabinets."""
    count = math.ceil(len(cells) / most)
    if len(cells) >= 3:
        count = math.ceil(count / 3) * 3
    edges = [round(i * len(cells) / count) for i in range(count + 1)]
    return [cells[a:b] for a, b in pairwise(edges)]


def _listed(cells: Iterable[Cell]) -> str:
    return "[" + ", ".join(f'"{cell}"' for cell in cells) + "]"


def _rest() -> Iterable[str]:
    yield ""
    yield "# Also understood: [[suspension_points]], [[inputs]], [[cameras]], [[stage_positions]],"
    yield "# [targets] (what the contract asks) and [[stated]] (what each document says)."
    yield ""
