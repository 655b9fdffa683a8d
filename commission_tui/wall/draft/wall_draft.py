"""A first wall file for a plain grid: ports and circuits shared out so that nothing is overloaded."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any, TypeVar

from commission_tui.engineering.power.circuits import cabinets_per_circuit
from commission_tui.engineering.signal.data_link import SPARE_SHARE, LoadRule, load, split_chain
from commission_tui.engineering.structure.geometry import Rectangle
from commission_tui.errors import InputError
from commission_tui.text import counted
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_file import MOST_CABINETS, parse_wall, route
from commission_tui.wall.model.wall_file_keys import commented

_MOST_PORTS = 1024
"""As a wall file takes them."""
_Item = TypeVar("_Item")
USUAL_ROUTE = "rows, serpentine, from top left"
_TYPE = "A"
_HEAD = """\
# Written by 'commission-tui wall new': a plain grid. Change what differs on this wall, then run
# 'commission-tui wall review' on it. Every key that may stand here is explained above its place; a
# line that begins with '#' is not read."""


@dataclass(frozen=True, slots=True)
class PlainGrid:
    """What a person says of a plain grid before the rest can be worked out."""

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
    ports: int
    pixels_per_port: int
    load_rule: LoadRule
    frame_rate_hz: float | None
    """Not written when not known."""
    voltage_v: float
    breaker_a: float
    region: str | None = None
    units: str = "metric"
    time_zone: str | None = None
    power_typical_w: float | None = None
    power_factor: float | None = None
    """Not written when not stated; what is worked out then counts with 1."""
    ports_in_use: int | None = None
    """Worked out, 5 % of each port kept free, when not given."""
    route: str = USUAL_ROUTE
    circuits: int | None = None
    """Worked out from the breaker when not given."""
    phases: int = 3
    residual_ma: float | None = None
    listed: Mapping[str, Sequence[Mapping[str, Any]]] = field(default_factory=dict)
    """Inputs, cameras, stage positions, suspension points and statements, as the file has them."""
    targets: Mapping[str, Any] = field(default_factory=dict)
    settled: Mapping[str, bool | None] = field(default_factory=dict)
    """Feature to whether it is there; None is not known."""
    backups: Sequence[int] = ()
    """Chains that have a backup run, by port, where only some have one; else all or none, as settled."""


def new_wall_text(plan: PlainGrid) -> str:
    """Write the wall file of a plain grid, every key that may stand there explained in a comment.

    Chains follow the route; circuits take the rows in order, evenly, over the phases.

    Raises
    ------
    InputError
        When the ports or a circuit cannot carry it, or a figure has no meaning.
    WallFileError
        When a name or a figure is not what a wall file takes.
    """
    if not 1 <= plan.columns * plan.rows <= MOST_CABINETS or min(plan.columns, plan.rows) < 1:
        raise InputError(
            f"grid: found {plan.columns} x {plan.rows}, expected 1 to {MOST_CABINETS} cabinets"
        )
    try:
        text = _HEAD + "\n" + commented(_data(plan))
    except ValueError as error:
        raise InputError(f"wall new: {error}") from None
    parse_wall(text, "wall new")
    return text


def least_port_px(cabinet_px: int) -> int:
    """Return the fewest pixels that a port has to carry for one cabinet, 5 % of it kept free."""
    return math.ceil(cabinet_px / (1 - SPARE_SHARE))


def least_ports(
    grid: tuple[int, int],
    cabinet_px: tuple[int, int],
    pixels_per_port: int,
    way: str,
    rule: LoadRule,
) -> int:
    """Return how few ports carry a plain grid, 5 % of each kept free."""
    return len(_least_links(_cells(*grid, way), cabinet_px, pixels_per_port, rule)[1])


def _cells(columns: int, rows: int, way: str) -> tuple[Cell, ...]:
    whole = {Cell(r, c) for r in range(1, rows + 1) for c in range(1, columns + 1)}
    return route(whole, way)


def _least_links(
    cells: Sequence[Cell], cabinet_px: tuple[int, int], pixels_per_port: int, rule: LoadRule
) -> tuple[list[Rectangle], list[tuple[int, ...]]]:
    """Return the cabinets on the canvas in their order, and which of them each port carries."""
    across, down = cabinet_px
    boxes = [Rectangle((c.column - 1) * across, (c.row - 1) * down, across, down) for c in cells]
    return boxes, list(split_chain(boxes, pixels_per_port, rule=rule, spare_share=SPARE_SHARE))


def _data(plan: PlainGrid) -> dict[str, Any]:
    """Return the file as a table of tables."""
    head = {"name": plan.name, "site": plan.site, "mounting": plan.mounting, "units": plan.units}
    stated = {"time_zone": plan.time_zone, "region": plan.region}
    return {
        "wall": head | {key: value for key, value in stated.items() if value},
        "cabinet_types": {_TYPE: _cabinet(plan)},
        "grid": {"columns": plan.columns, "rows": plan.rows, "type": _TYPE},
        "processor": {
            "ports": _ports_in_all(plan),
            "pixels_per_port": plan.pixels_per_port,
            "load_rule": plan.load_rule,
        }
        | ({} if plan.frame_rate_hz is None else {"frame_rate_hz": plan.frame_rate_hz}),
        "chains": _chains(plan),
        "circuits": list(_circuits(plan)),
        **{key: list(rows) for key, rows in plan.listed.items()},
        "room": {
            key: [name for name, there in plan.settled.items() if there is value]
            for key, value in (("features", True), ("without", False), ("not_known", None))
        },
        "targets": dict(plan.targets),
    }


def _cabinet(plan: PlainGrid) -> dict[str, Any]:
    values = {
        "width_mm": plan.cabinet_mm[0],
        "height_mm": plan.cabinet_mm[1],
        "width_px": plan.cabinet_px[0],
        "height_px": plan.cabinet_px[1],
        "module_columns": plan.modules[0],
        "module_rows": plan.modules[1],
        "weight_kg": plan.weight_kg,
        "power_max_w": plan.power_max_w,
        "power_typical_w": plan.power_typical_w,
        "power_factor": plan.power_factor,
    }
    return {key: value for key, value in values.items() if value is not None}


def _chains(plan: PlainGrid) -> list[dict[str, Any]]:
    cells = _cells(plan.columns, plan.rows, plan.route)
    across, down = plan.cabinet_px
    if plan.pixels_per_port < least_port_px(across * down):
        raise InputError(
            f"pixels per port: found {plan.pixels_per_port}, expected at least "
            f"{least_port_px(across * down)} for a cabinet of {across * down} px, 5 % kept free"
        )
    boxes, links = _least_links(cells, plan.cabinet_px, plan.pixels_per_port, plan.load_rule)
    wanted = plan.ports_in_use or len(links)
    if wanted > plan.ports or len(links) > plan.ports:
        raise InputError(
            f"ports: found {plan.ports}, expected at least {max(wanted, len(links))} for "
            f"{counted(len(cells), 'cabinet')} at {plan.pixels_per_port} px a port, 5 % kept free"
        )
    if plan.ports_in_use:
        links = [tuple(group) for group in _even_groups(range(len(cells)), plan.ports_in_use)]
        for link in links:
            carried = load([boxes[index] for index in link], plan.load_rule)
            if carried > plan.pixels_per_port:
                raise InputError(
                    f"ports in use: found {plan.ports_in_use}, which puts {carried} px on a port of "
                    f"{plan.pixels_per_port}, expected more ports"
                )
    every = plan.settled.get("backup runs") is True
    backed = plan.backups or (range(1, len(links) + 1) if every else ())
    first = first_backup_port(len(links), plan.ports, two_processors=_has_two(plan))
    if first + len(backed) - 1 > _ports_in_all(plan) or max(backed, default=0) > len(links):
        raise InputError(
            f"backup runs: found {counted(len(backed), 'backup')} to {counted(len(links), 'port')} in "
            f"use, expected no more than {_ports_in_all(plan)} ports in all and chains from 1 to "
            f"{len(links)}"
        )
    spare = {port: number for number, port in enumerate(backed, start=first)}
    return [
        {"port": port, "order": [str(cells[index]) for index in link]}
        | ({"backup_port": spare[port]} if port in spare else {})
        for port, link in enumerate(links, start=1)
    ]


def first_backup_port(used: int, ports: int, *, two_processors: bool) -> int:
    """Return the port from which backup runs are plugged: of the second processor where there are two.

    The ports of the second count on behind those of the first.
    """
    return (ports if two_processors else used) + 1


def _has_two(plan: PlainGrid) -> bool:
    return plan.settled.get("two processors") is True


def _ports_in_all(plan: PlainGrid) -> int:
    return min(plan.ports * (2 if _has_two(plan) else 1), _MOST_PORTS)


def _circuits(plan: PlainGrid) -> Iterable[dict[str, Any]]:
    most = cabinets_per_circuit(
        plan.breaker_a, plan.voltage_v, plan.power_max_w, plan.power_factor or 1.0
    )
    if most < 1:
        raise InputError(
            f"breaker: found {plan.breaker_a:g} A, too small for one cabinet of {plan.power_max_w:g} W"
        )
    cells = [Cell(r, c) for r in range(1, plan.rows + 1) for c in range(1, plan.columns + 1)]
    count = plan.circuits or _circuits_wanted(len(cells), most, plan.phases)
    if count > len(cells) or math.ceil(len(cells) / count) > most:
        raise InputError(
            f"circuits: found {count} for {len(cells)} cabinets, expected at most {most} cabinets "
            "on each and at least one"
        )
    for number, group in enumerate(_even_groups(cells, count), start=1):
        phase = f"L{(number - 1) % plan.phases + 1}"
        yield {
            "name": f"C{number}-{phase}",
            "phase": phase,
            "voltage_v": plan.voltage_v,
            "breaker_a": plan.breaker_a,
            **({"residual_ma": plan.residual_ma} if plan.residual_ma else {}),
            "cabinets": [str(cell) for cell in group],
        }


def _circuits_wanted(cabinets: int, most: int, phases: int) -> int:
    """Return the fewest circuits, a multiple of the phases where there are enough cabinets."""
    count = math.ceil(cabinets / most)
    return math.ceil(count / phases) * phases if cabinets >= phases else count


def _even_groups(items: Sequence[_Item], count: int) -> Iterable[Sequence[_Item]]:
    edges = [round(i * len(items) / count) for i in range(count + 1)]
    return [items[a:b] for a, b in pairwise(edges)]
