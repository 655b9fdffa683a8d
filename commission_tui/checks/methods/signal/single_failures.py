"""Single failures: what went dark against what the survey of the wall file predicts."""

from __future__ import annotations

import operator
import re
from collections.abc import Iterable
from itertools import pairwise

from commission_tui.checks import judgement as j
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Reading, Verdict
from commission_tui.checks.registry import method
from commission_tui.errors import InputError
from commission_tui.text import listed
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.review.redundancy import LinkGraph, cells_as_runs, graph_of

_NONE = frozenset({"none", "nothing", "no", "-", "0"})
_ALL = frozenset({"all", "whole wall", "wall"})
_SPAN = re.compile(r"(R\d{1,3}C\d{1,3})(?:\s*(?:to|-|:)\s*(R\d{1,3}C\d{1,3}))?", re.IGNORECASE)
_FIGURES_SHOWN = 8


def cells_in(text: str, wall: Wall) -> frozenset[Cell] | None:
    """Read cabinets as a technician writes them: `none`, `all`, ``R1C1 to R2C6, R4C4``.

    None when something in the text is no cabinet of this wall.
    """
    words = text.strip().lower().rstrip(".")
    if words in _NONE:
        return frozenset()
    if words in _ALL:
        return frozenset(wall.cabinets)
    found: set[Cell] = set()
    for first, last in _SPAN.findall(text):
        try:
            start, end = Cell.parse(first.upper()), Cell.parse((last or first).upper())
        except InputError:
            return None
        if not {start, end} <= wall.cabinets.keys():
            return None
        rows = sorted((start.row, end.row))
        columns = sorted((start.column, end.column))
        found |= {
            cell
            for cell in wall.cabinets
            if rows[0] <= cell.row <= rows[1] and columns[0] <= cell.column <= columns[1]
        }
    rest = re.sub(r"\band\b|[\s,;.]", "", _SPAN.sub("", text), flags=re.IGNORECASE)
    return frozenset(found) if found and not rest else None


@method(fields="went_dark gap_ms? broken_at?", limits="gap_ms? cabinets_dark?")
def what_went_dark(data: CheckInput) -> Outcome:
    """Compare what went dark with the survey of single failures, and count it against the limit.

    A place is a port (its chain opened in the middle), a circuit, or a part of the signal path; one
    that the wall file does not name has no prediction and is judged by the limit alone, where there is one.
    """
    graph = _graph(data.wall)
    placed: list[Figure] = []
    surprises: dict[str, str] = {}
    for place, reading in data.field("went_dark").items():
        dark = cells_in(str(reading.value), data.wall)
        if dark is None:
            return Outcome(
                Verdict.OPEN,
                f"no cabinets can be read at {place}",
                next_step="Write none, all, or cabinets such as R1C1 to R2C6, R4C4.",
            )
        predicted = _predicted(graph, place, data.one("broken_at", place))
        if predicted is not None and (words := _surprise(dark, predicted)):
            surprises[place] = words
        # A prediction says how many; beyond the agreed number it is the design that must answer.
        name = f"cabinets dark at {place}"
        placed.append(
            j.judged(name, len(dark), limit=data.limits.get("cabinets_dark"), place=place)
        )
    return _against_survey(data, placed, surprises)


def _against_survey(data: CheckInput, placed: list[Figure], surprises: dict[str, str]) -> Outcome:
    gaps = j.judged_places(data, "gap at {}", "gap_ms", unit="ms", limit="gap_ms")
    worst_first = j.worst_first([*placed, *gaps])
    figures = [*worst_first[:_FIGURES_SHOWN], j.count_wrong("failures not as surveyed", surprises)]
    parts = [f"{place}: {words}" for place, words in surprises.items()]
    parts += [j.clauses_of(figures)] if j.bad_places(worst_first) else []
    usual = f"{len(placed)} tried, each as the survey and the contract have it"
    return j.conclude(
        figures,
        j.phrased(*parts) or usual,
        where=[*surprises, *j.bad_places(worst_first)],
        next_step="Trace what the named failure has in common with what went dark; then try again.",
    )


def _graph(wall: Wall) -> LinkGraph | None:
    try:
        return graph_of(wall)
    except InputError:
        return None


def _predicted(
    graph: LinkGraph | None, place: str, broken_at: Reading | None
) -> frozenset[Cell] | None:
    if graph is None:
        return None
    chain = next((c for c in graph.wall.chains if f"P{c.port}" == place), None)
    if chain is None:
        return frozenset(graph.dark_after(place)) if place in graph.parts else None
    jumpers = list(pairwise(chain.cells))
    if not jumpers:
        return None
    opened = jumpers[len(chain.cells) // 2 - 1]
    if broken_at is not None:
        named = str(broken_at.value).upper()
        opened = next((pair for pair in jumpers if _names(named, pair)), opened)
    return frozenset(graph.dark_after(opened))


def _names(text: str, jumper: tuple[Cell, Cell]) -> bool:
    """Say whether a text such as ``R1C6 to R2C6`` names this jumper, from either end."""
    return set(re.findall(r"R\d{1,3}C\d{1,3}", text)) == {str(cell) for cell in jumper}


def _surprise(dark: frozenset[Cell], predicted: frozenset[Cell]) -> str:
    more, less = dark - predicted, predicted - dark
    parts = [f"dark beyond the survey {_some(more)}"] if more else []
    parts += [f"lit though the survey says dark {_some(less)}"] if less else []
    return ", ".join(parts)


def _some(cells: Iterable[Cell]) -> str:
    runs = cells_as_runs(cells).split(", ")
    return listed(runs, 4)


@method(
    fields="back_s level_before_cd_m2 level_after_cd_m2 preset_same numbers_same",
    limits="back_s level_ratio",
)
def processor_failure(data: CheckInput) -> Outcome:
    """Require the second processor in time, at the same level, with the same preset and tiles."""
    figures = j.judged_at(data, "picture back after", "back_s", unit="s", limit="back_s")
    before = data.one("level_before_cd_m2")
    if before is not None and data.one("level_after_cd_m2") and before.number <= 0:
        return Outcome(Verdict.OPEN, "the level before must be more than 0 cd/m²")
    figures += j.judged_at(
        data,
        "level after over level before",
        *("level_after_cd_m2", "level_before_cd_m2"),
        by=operator.truediv,
        limit="level_ratio",
    )
    others = {"preset_same": "another preset", "numbers_same": "other tiles than before"}
    wrong = [f"the second processor shows {words}" for words in j.refusals(data, others)]
    return j.conclude(
        figures,
        j.phrased(*wrong, j.clauses_of(figures) if figures else ""),
        next_step="Copy every setting to the second processor, then switch the first off again.",
        failed=wrong,
    )
