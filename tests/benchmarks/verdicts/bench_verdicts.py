"""How often verdicts are right: ``python -m tests.benchmarks.verdicts.bench_verdicts``.

Walls and meters are simulated here, by numpy, without a formula of the tool: a wall has a truth; a
meter has a calibration error that all its readings share (rectangular, within its accuracy), scatter
of its own at each reading (normal) and drifts from one visit to the next (rectangular). What it reads
is judged by the shipped checks, and held against the truth:

covers   expanded uncertainty of the figure covers the truth, of all cases
failed   of walls over the limit by more than the bound
passed   of walls better than the limit by more than the bound
at best  of those, passed by a judge who knows the bound of the simulation and keeps it off the limit
decided  of marginals that were told to take N more readings, by taking them

The bound is that of the simulation: what 95 % of the errors of the figure lie within, at the limit.
"""

from __future__ import annotations

import argparse
import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache

import numpy as np

from commission_tui.checks.checklists.checklist import Checklist
from commission_tui.checks.checklists.checklist_file import parse_checklist, shipped_files
from commission_tui.checks.evaluation import default_limits, evaluate
from commission_tui.checks.model.types import Figure, Outcome, Reading, Verdict
from commission_tui.engineering.numeric.error_parts import REPEATABILITY_SHARE, Errors
from commission_tui.wall.model.wall_file import parse_wall
from commission_tui.wall.model.wall_model import Wall
from tests.benchmarks.verdicts.simulated_walls import CASES, TARGETS, Case, Meter, Random, Truth
from tests.paths import ROOT

FELLMOOR = ROOT / "commission_tui" / "demo" / "fellmoor.toml"
_TAKE = re.compile(r"Take (one|\d+) more readings?(.*) to decide")


@cache
def shipped() -> Checklist:
    return parse_checklist(shipped_files())


@cache
def fellmoor() -> Wall:
    """Return the demo wall, with the targets that cases need and it does not state."""
    text = FELLMOOR.read_text(encoding="utf-8")
    return parse_wall(text.replace("[targets]\n", f"[targets]\n{TARGETS}", 1))


class Instrument:
    """One meter of a kind, with the calibration error that this one happens to have."""

    def __init__(self, meter: Meter, random: Random) -> None:
        self._meter, self._random = meter, random
        self._off: dict[str, float] = {}

    def months_pass(self) -> None:
        for error in self._off:
            self._off[error] += self._meter.drift * self._random.uniform(-1, 1)

    def read(self, truth: float, axis: str) -> float:
        """Read a value; a colour has an error of its own along each axis."""
        meter = self._meter
        gain = self._off.setdefault("gain", self._random.uniform(-1, 1))
        offset = self._off.setdefault(axis, self._random.uniform(-1, 1))
        own = math.hypot(meter.scatter_share * truth, meter.scatter)
        shared = truth * meter.gain * gain + meter.offset * offset
        return float(truth + shared + self._random.normal(0, own))


@dataclass
class Site:
    """One wall with its instruments, and what was read so far."""

    case: Case
    random: Random
    now: Truth
    then: Truth
    truth: float
    taken: dict[tuple[str, str], list[float]] = field(default_factory=dict)
    before: dict[str, dict[str, Reading]] = field(default_factory=dict)
    instruments: dict[str, Instrument] = field(default_factory=dict)

    def visit(self) -> None:
        for name, at in self.then.items():
            self.before[name] = {
                place: self._reading(name, place, [self._read(name, place, value)], earlier=True)
                for place, value in at.items()
            }
        if self.then:
            self.instruments["own"].months_pass()
        for name, at in self.now.items():
            for place in at:
                self._take(name, place)

    def again(self, places: Sequence[str], count: int) -> None:
        for name, place in list(self.taken):
            if place in places:
                for _ in range(count):
                    self._take(name, place)

    def outcome(self) -> Outcome:
        readings = {
            name: {place: Reading(value) for place, value in at.items()}
            for name, at in self.case.exact.items()
        }
        for (name, place), values in self.taken.items():
            readings.setdefault(name, {})[place] = self._reading(name, place, values)
        check = shipped().check(self.case.check)
        return evaluate(check, fellmoor(), readings, baseline=self.before or None)

    def _take(self, name: str, place: str) -> None:
        value = self._read(name, place, self.now[name][place])
        self.taken.setdefault((name, place), []).append(value)

    def _read(self, name: str, place: str, truth: float) -> float:
        whose = "other" if name.startswith("other") else "own"
        if whose not in self.instruments:
            self.instruments[whose] = Instrument(self.case.meter, self.random)
        light = f" {place}" if self.case.meter.each_light else ""
        return self.instruments[whose].read(truth, f"{name}{light}" if name in {"x", "y"} else "")

    def _reading(
        self, name: str, place: str, values: list[float], *, earlier: bool = False
    ) -> Reading:
        """Say of the mean of repeats what the meter's data sheet says of it."""
        mean, meter = float(np.mean(values)), self.case.meter
        scatter = math.hypot(meter.scatter_share * mean, meter.scatter)
        if not meter.stated:
            scatter = REPEATABILITY_SHARE * (meter.gain * abs(mean) + meter.offset)
        shared = name if name in {"x", "y"} else "light"
        errors = Errors(shared, meter.gain, meter.offset, scatter / math.sqrt(len(values)))
        if earlier:
            errors = errors.settled(-1)
        return Reading(mean, "", errors, at=place, measured=True, taken=len(values))


@dataclass
class Score:
    """What was found of one case, in numbers of walls."""

    walls: int = 0
    covered: int = 0
    over: int = 0
    failed: int = 0
    better: int = 0
    passed: int = 0
    at_best: int = 0
    marginal: int = 0
    told: int = 0
    decided: int = 0
    wrongly: int = 0

    @property
    def covers(self) -> float:
        return self.covered / self.walls

    @property
    def fails(self) -> float:
        return self.failed / self.over if self.over else math.nan

    @property
    def passes(self) -> float:
        return self.passed / self.better if self.better else math.nan

    @property
    def decides(self) -> float:
        return self.decided / self.told if self.told else math.nan


def sites(case: Case, count: int, seed: int) -> Iterator[Site]:
    random = np.random.default_rng(seed)
    for _ in range(count):
        site = Site(case, random, *case.wall(random))
        site.visit()
        yield site


def score(case: Case, count: int, seed: int = 1) -> Score:
    """Judge so many walls, and do what the marginal ones are told."""
    judged = [(site, figure_of(case, site.outcome())) for site in sites(case, count, seed)]
    errors = [abs(figure.value - site.truth) for site, figure in judged]
    bound = float(np.quantile(errors, 0.95))
    found = Score()
    for site, figure in judged:
        found.walls += 1
        found.covered += abs(figure.value - site.truth) <= (figure.expanded or 0.0)
        over = beyond(case, site.truth)
        if over > bound:
            found.over += 1
            found.failed += figure.verdict is Verdict.FAIL
        elif over < -bound:
            found.better += 1
            found.passed += figure.verdict is Verdict.PASS
            found.at_best += beyond(case, figure.value) < -bound
        if figure.verdict is Verdict.MARGINAL:
            found.marginal += 1
            _follow(found, site, over)
    return found


def _follow(found: Score, site: Site, over: float) -> None:
    """Take the readings that a marginal was told to take, and see whether it is one still."""
    told = _TAKE.match(site.outcome().next_step)
    if told is None:
        return
    found.told += 1
    site.again(_named(told[2], site), 1 if told[1] == "one" else int(told[1]))
    after = figure_of(site.case, site.outcome()).verdict
    found.decided += after is not Verdict.MARGINAL
    found.wrongly += after is (Verdict.PASS if over > 0 else Verdict.FAIL)


def _named(where: str, site: Site) -> list[str]:
    """Return the places that the advice names; all of them where it names none or says each."""
    said = re.split(" and at | and of the ", where.removeprefix(" each").removeprefix(" at "))
    places = [place for _, place in site.taken]
    return [place for place in places if place in said] or places


def figure_of(case: Case, outcome: Outcome) -> Figure:
    return next(f for f in outcome.figures if f.name.startswith(case.figure))


def beyond(case: Case, truth: float) -> float:
    """Return how far a truth lies over the limit; below 0 it is better than it."""
    limit = default_limits(shipped().check(case.check), fellmoor())[case.limit]
    sides = [] if limit.low is None else [limit.low - truth]
    sides += [] if limit.high is None else [truth - limit.high]
    return max(sides)


def table(count: int, seed: int) -> Iterator[str]:
    yield (
        f"{'case':30} {'covers':>7} {'failed':>14} {'passed':>14} {'at best':>8} {'marginal':>9} "
        f"{'decided':>14}"
    )
    for case in CASES:
        one = score(case, count, seed)
        yield (
            f"{case.title:30} {one.covers:7.1%} {_of(one.failed, one.over):>14} "
            f"{_of(one.passed, one.better):>14} {_share(one.at_best, one.better):>8} {one.marginal:9} {_of(one.decided, one.told):>14}"
        )


def _share(part: int, whole: int) -> str:
    return f"{part / whole:.0%}" if whole else "-"


def _of(part: int, whole: int) -> str:
    return f"{part}/{whole} {part / whole:4.0%}" if whole else "-"


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--walls", type=int, default=2000)
    options.add_argument("--seed", type=int, default=1)
    chosen = options.parse_args()
    for line in table(chosen.walls, chosen.seed):
        print(line, flush=True)  # noqa: T201


if __name__ == "__main__":
    main()
