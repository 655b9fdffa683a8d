"""How often, and how fast, the mapping solver is right: ``python -m tests.benchmarks.bench_mapping``.

Faults are committed on plugs and entries by ``tests/wall/mapping/referee/site.py``, which knows nothing of
the solver. `named` counts first explanations whose causes and places are those committed, or state
them as a twin; `same table` counts first explanations that give the very same table with no more
causes, so that no look at the numbers could tell them from the truth.
"""

from __future__ import annotations

import argparse
import math
import random
import statistics
import sys
import time
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from commission_tui.wall.mapping.diagnosis import diagnose
from commission_tui.wall.mapping.explanations.explanation import Cause, Explanation
from commission_tui.wall.mapping.observed.observation import Observation
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall
from tests.wall.mapping.referee.evenings import count_looks
from tests.wall.mapping.referee.evenings import measure as put_right
from tests.wall.mapping.referee.generator import Case, hidden, misread, random_case
from tests.wall.mapping.referee.site import Site
from tests.wall.mapping.walls import SERPENTINE, grid_wall

_TOLD = 6
"""Missed cases that are printed of each row."""


@dataclass
class Score:
    cases: int = 0
    named: int = 0
    same_table: int = 0
    in_three: int = 0
    mended: int = 0
    mended_named: int = 0
    missed: Counter[str] = field(default_factory=Counter)

    def line(self, title: str) -> str:
        return (
            f"{title}: {self.cases} cases; named first {self.named / self.cases:.2%}, named or "
            f"same table first {self.same_table / self.cases:.2%}, within three "
            f"{self.in_three / self.cases:.2%}; corrections put right "
            f"{self.mended_named} of {self.named} named, {self.mended} of {self.same_table} in all; "
            f"missed {dict(self.missed.most_common(8))}"
        )


def names(causes: Iterable[Cause]) -> tuple[tuple[str, str], ...]:
    return tuple(sorted((cause.kind, cause.where) for cause in causes))


def is_named(case: Case, explanation: Explanation) -> bool:
    return case.labels in map(names, (explanation.causes, *explanation.twins))


def is_same_table(case: Case, explanation: Explanation, *, whole: bool) -> bool:
    """Tell whether no reading tells the explanation from the truth.

    On a whole table without a misreading, an explanation that leaves nothing over is one.
    """
    if len(explanation.causes) > len(case.labels):
        return False
    if whole:
        return not explanation.unexplained
    surface = {"canvas-offset", "wrong-cabinet-size"}
    if surface & {kind for kind, _ in names(explanation.causes)}:
        return False
    return all(
        explanation.shows[cell] in (reading.seen, None) or reading.seen == "garbled"
        for cell, reading in case.readings.items()
    )


def mends(case: Case, explanation: Explanation) -> bool:
    """Carry the correction out, or a twin's where the cables are not as the first would have it."""
    return any(
        _mends(case.site.copy(), causes) for causes in (explanation.causes, *explanation.twins)
    )


def _mends(site: Site, causes: Iterable[Cause]) -> bool:
    for cause in causes:
        try:
            site.carry_out(cause)
        except (ValueError, IndexError, StopIteration):
            return False
    return site.is_right()


def judge(score: Score, case: Case, readings: dict[Cell, Observation], *, mend: bool) -> None:
    explanations = diagnose(case.wall, readings).explanations
    right = is_named(case, explanations[0])
    whole = readings == case.readings
    same = right or is_same_table(case, explanations[0], whole=whole)
    score.cases += 1
    score.named += right
    score.same_table += same
    score.in_three += any(
        is_named(case, e) or is_same_table(case, e, whole=whole) for e in explanations
    )
    if not same:
        score.missed[" + ".join(sorted(case.fault_names))] += 1
    if mend and same:
        done = mends(case, explanations[0])
        score.mended += done
        score.mended_named += done and right


def measure(cases: int, causes: int, seed: int, share_hidden: float = 0.0) -> Score:
    """Judge random cases; with a hidden share there is a misreading too, and nothing is mended."""
    rng, score = random.Random(seed), Score()  # noqa: S311
    while score.cases < cases:
        case = random_case(rng, causes)
        if not share_hidden:
            judge(score, case, case.readings, mend=True)
            continue
        looked = hidden(case.readings, rng, share_hidden)
        if all(reading in (Observation(), Observation(cell)) for cell, reading in looked.items()):
            continue  # the only cabinets that are wrong are those not looked at
        judge(score, case, misread(looked, rng), mend=False)
    return score


def accuracy(cases: int, seed: int) -> Iterator[str]:
    for n in (1, 2, 3):
        yield measure(cases, n, seed + n).line(f"{n} cause(s)")
    partial = measure(cases, 1, seed, share_hidden=0.3)
    yield partial.line("1 cause, 30 % not looked at, one misread")


def evenings(count: int, seed: int) -> Iterator[str]:
    """Tell how many walls are right once what is said is done, and the acts that were missed."""
    for title, share, looped in (
        ("all looked at", 0.0, False),
        ("30 % not looked at", 0.3, False),
        ("backup ports, all looked at", 0.0, True),
    ):
        for acts in (1, 2, 3, 4):
            tally = put_right(count, acts, seed + acts, share, looped=looped)
            yield (
                f"{title}, {acts} act(s): {tally.evenings} walls; right by the first explanation "
                f"{tally.first / tally.evenings:.1%}, with the looks that are asked for "
                f"{tally.as_a_person / tally.evenings:.1%}; of the {len(tally.missed)} missed, "
                f"{tally.as_likely} show the same with no more acts; {_held(tally.held)}"
            )
            yield from (f"    missed: {missed}" for missed in tally.missed[:_TOLD])


def _held(held: list[int]) -> str:
    if not held:
        return "no cable beside the moves to be held against the drawing"
    return (
        f"with {len(held)} of the others cables beside the moves are to be held against the "
        f"drawing, median {statistics.median(held):g}, at most {max(held)}"
    )


def looks(count: int, seed: int) -> list[str]:
    """Tell how many looks a single fault takes on 100 cabinets, from the one that was noticed."""
    taken, missed = count_looks(count, seed)
    within = sum(number <= 7 for number in taken)
    line = (
        f"single faults on 100 cabinets: {len(taken)} of {count} found, median "
        f"{statistics.median(taken):g} looks, {within} with 7 at most, the most {max(taken)}"
    )
    return [line, *(f"    missed: {said}" for said in missed[:_TOLD])]


def large_wall(cabinets: int) -> Wall:
    """Return a wall of about 16 cabinets a port, two rows a port."""
    rows = max(2, 2 * round(math.sqrt(cabinets / 2) / 2))
    columns = round(cabinets / rows)
    blocks = [
        (f"R{top}C{left}:R{top + 1}C{min(columns, left + 7)}", SERPENTINE)
        for top in range(1, rows, 2)
        for left in range(1, columns + 1, 8)
    ]
    return grid_wall(columns, rows, blocks, ports=len(blocks))


def timing(sizes: tuple[int, ...] = (50, 200, 1000, 5000)) -> list[str]:
    """Time each kind of table on growing walls; the growth is that of the worst kind."""
    lines, cabinets = [], []
    times: list[list[float]] = []
    for size in sizes:
        wall = large_wall(size)
        cabinets.append(len(wall.cabinets))
        times.append([_seconds(wall, readings) for readings in hard_tables(wall)])
        shown = ", ".join(f"{seconds * 1000:.0f}" for seconds in times[-1])
        lines.append(f"{cabinets[-1]} cabinets: {shown} ms of processor time, by kind of table")
    span = math.log(cabinets[-1] / cabinets[0])
    growths = [math.log(t1 / t0) / span for t0, t1 in zip(times[0], times[-1], strict=True)]
    return [*lines, f"growth: cabinets^{max(growths):.2f}, the worst kind"]


def _seconds(wall: Wall, readings: dict[Cell, Observation]) -> float:
    began = time.process_time()
    diagnose(wall, readings)
    return time.process_time() - began


def hard_tables(wall: Wall) -> list[dict[Cell, Observation]]:
    """Return tables with a fault in one port, in the whole plan, in three ports, and in neither."""
    from tests.wall.mapping.referee import faults

    tables = []
    for chosen in (
        (faults.cabinet_skipped,),
        (faults.rear_view_plan,),
        (faults.rear_view_plan, faults.cabinet_skipped, faults.row_reversed),
        (faults.ports_swapped, faults.chain_reversed, faults.cabinet_missing),
    ):
        rng, site = random.Random(7), Site(wall)  # noqa: S311
        for fault in chosen:
            fault(site, rng)
        tables.append(site.look())
    rng = random.Random(7)  # noqa: S311
    cells = list(wall.cabinets)
    shuffled = rng.sample(cells, len(cells))
    tables.append({c: Observation(s) for c, s in zip(cells, shuffled, strict=True)})
    return tables


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--cases", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--no-timing", action="store_true")
    parser.add_argument("--evenings", type=int, default=200)
    options = parser.parse_args()
    if options.cases:
        _tell(accuracy(options.cases, options.seed))
    if options.evenings:
        _tell(evenings(options.evenings, options.seed))
        _tell(looks(options.evenings, options.seed))
    if not options.no_timing:
        _tell(timing())


def _tell(lines: Iterable[str]) -> None:
    """Print each line as soon as it is known: all of it takes an hour."""
    for line in lines:
        sys.stdout.write(f"{line}\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
