"""What the screens cost: the first key, an arrow key on a large wall, memory, --help.

Run ``python -m tests.benchmarks.bench_screens``; ``--quick`` takes fewer turns. Times stand beside a bare
program measured in the same run.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.logbook import Logbook
from tests.benchmarks.terminal import InTerminal, as_installed

COLUMNS, ROWS = 125, 80
ENTRIES = 100_000
RIGHT, LEFT, WALL = b"\x1b[C", b"\x1b[D", b"\x1bOS"
LAYERS = ("progress", "chains", "circuits", "luminance", "faults", "mapping", "change")
BARE_APP = """
from rich.segment import Segment
from textual.app import App
from textual.binding import Binding
from textual.strip import Strip
from textual.widget import Widget

class Cell(Widget):
    DEFAULT_CSS = "Cell { width: 4; height: 1; }"
    count = 0
    def render_line(self, y):
        return Strip([Segment(f"#{self.count % 10:03d}")])

class Bare(App):
    BINDINGS = [Binding("right,left", "count", "Count")]
    def compose(self):
        yield Cell()
    def action_count(self):
        cell = self.query_one(Cell)
        cell.count += 1
        cell.refresh()

Bare().run()
"""
BARE_COMMAND = """
import click

@click.command()
@click.option("--name", help="A name.")
def bare(name):
    "Say nothing."

bare()
"""


@dataclass(frozen=True)
class Figure:
    """One figure and the most that it may be: of its own unit, or times the bare program's."""

    what: str
    ours: float
    unit: str
    most: float
    bare: float | None = None
    is_ratio: bool = False

    @property
    def holds(self) -> bool:
        floor = self.bare if self.is_ratio and self.bare is not None else 1.0
        return self.ours <= self.most * floor

    def __str__(self) -> str:
        beside = "" if self.bare is None else f" beside {self.bare:.1f} {self.unit} bare"
        if self.is_ratio and self.bare is not None:
            beside += f", ratio {self.ours / self.bare:.2f}"
        most = f"{self.most:g} times" if self.is_ratio else f"{self.most:g} {self.unit}"
        word = "holds" if self.holds else "FALLS SHORT"
        return f"{self.what}: {self.ours:.1f} {self.unit}{beside} (at most {most}): {word}"


def large_wall(columns: int = COLUMNS, rows: int = ROWS) -> str:
    """Return a wall file with this many cabinets, a chain a row and a circuit for two rows."""
    cabinets = f"""
[wall]
name = "Large"
mounting = "stacked"
[cabinet_types.A]
width_mm = 500
height_mm = 500
width_px = 128
height_px = 128
module_columns = 2
module_rows = 2
weight_kg = 8
power_max_w = 100
[grid]
columns = {columns}
rows = {rows}
type = "A"
[processor]
ports = {rows}
pixels_per_port = 4000000
[targets]
luminance_cd_m2 = 600
"""
    chains = "".join(
        f'[[chains]]\nport = {row}\nblock = "R{row}C1:R{row}C{columns}"\n'
        'pattern = "rows, serpentine, from top left"\n'
        for row in range(1, rows + 1)
    )
    circuits = "".join(
        f'[[circuits]]\nname = "LP{row}"\nphase = "L{row % 3 + 1}"\nvoltage_v = 230\n'
        f'breaker_a = 63\ncabinets = ["R{row}C1:R{row}C{columns}"]\n'
        for row in range(1, rows + 1)
    )
    return cabinets + chains + circuits


def large_job(folder: Path, entries: int = ENTRIES) -> Path:
    """Return a logbook with one job of 10,000 cabinets: readings at each, and again, and faults."""
    path = folder / "large.db"
    book = Logbook(path)
    job = book.create(by="A", name="Large job", client="C", integrator="I", wall_text=large_wall())
    accuracy = {"cd/m2": {"percent": 2}}
    job.record(body(e.Instrument, key="m", name="M", serial="1", accuracy=accuracy))
    cells = [str(cell) for cell in job.state.wall.cabinets]
    faults: list[e.Body] = [
        body(e.FaultFound, fault="pixel dark", location=f"{cell} x5 y5", severity="near")
        for cell in cells[::50]
    ]
    missing = entries - len(job.state.entries) - len(faults)
    readings: list[e.Body] = [
        body(
            e.ReadingTaken, check="cabinet-luminance", field="luminance_cd_m2",
            place=cells[n % len(cells)], value=600.0 + n % 37, unit="cd/m2", instrument="m",
        )
        for n in range(missing)
    ]  # fmt: skip
    job.record_all([*readings, *faults])
    book.close()
    return path


def demo_job(folder: Path) -> Path:
    """Return a logbook with the demo job."""
    from commission_tui.demo.demo_walk import make_demo

    path = folder / "demo.db"
    book = Logbook(path)
    make_demo(book, on_step=lambda _: None)
    book.close()
    return path


def opening(database: Path) -> list[str]:
    """Return the command that opens the only job of a logbook."""
    book = Logbook(database)
    job_id = book.store.jobs()[0][0]
    book.close()
    return [sys.executable, "-m", "tests.benchmarks.opening", str(database), job_id]


def bare() -> list[str]:
    return [sys.executable, "-c", BARE_APP]


# --- the figures


def help_text(turns: int) -> Figure:
    def seconds(command: list[str]) -> float:
        begun = time.perf_counter()
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL, env=as_installed())
        return time.perf_counter() - begun

    pairs = [
        (
            seconds([sys.executable, "-c", BARE_COMMAND, "--help"]),
            seconds([sys.executable, "-m", "commission_tui", "--help"]),
        )
        for _ in range(turns)
    ]
    plain, full = _medians_ms(pairs)
    return Figure("--help", full, "ms", 1.3, plain, is_ratio=True)


def first_key(folder: Path, turns: int) -> Iterator[Figure]:
    """Yield the time from the start until the demo job answers a key, and the memory it then holds.

    The key that goes to the last line of the list is pressed as soon as the program says anything.
    """
    database = demo_job(folder)
    command, answer = opening(database), _last_check(database)
    for once in (bare(), command):  # brings the bytecode in
        with InTerminal(once) as terminal:
            terminal.quiet(3.0)
    pairs, held = [], 0.0
    for _ in range(turns):
        with InTerminal(bare()) as plain:
            plain.until(b"#000")
            plain.type(RIGHT)
            bare_s = plain.until(b"#001")
        with InTerminal(command) as full:
            full.until(b"Opening")
            full.type(b"G")
            pairs.append((bare_s, full.until(answer)))
            full.quiet(1.0)
            held = full.resident_bytes() / 2**20
    floor, ours = _medians_ms(pairs)
    yield Figure("until a key is answered, demo job", ours, "ms", 4, floor, is_ratio=True)
    yield Figure("memory, demo job", held, "MB", 130)


def _last_check(database: Path) -> bytes:
    """Return how the last check's line in the list begins."""
    book = Logbook(database)
    checks = list(book.open(book.store.jobs()[0][0], "A. Technician").state.checklist)
    book.close()
    return checks[-1].title[:20].encode()


def arrow_keys(folder: Path, turns: int) -> Iterator[Figure]:
    """Yield the memory of 100,000 readings, then an arrow key in each layer of 10,000 cabinets."""
    with (
        InTerminal(bare(), columns=120, rows=40) as plain,
        InTerminal(opening(large_job(folder)), columns=120, rows=40) as full,
    ):
        plain.until(b"#000")
        plain.quiet(0.5)
        full.until(b"Overview")
        full.quiet(1.0)
        full.press(WALL)
        full.until(b"FRONT VIEW")
        full.quiet(1.0)
        yield Figure("memory, 100,000 readings", full.resident_bytes() / 2**20, "MB", 450)
        for number, name in enumerate(LAYERS, start=1):
            for where, keys in {"corner": b"r1 1\r", "middle": b"r40 60\r"}.items():
                for key in (b"0", str(number).encode(), keys, RIGHT, LEFT):
                    full.press(key)
                    full.quiet(0.3)
                pairs = [
                    (plain.press(RIGHT), full.press(key))
                    for _ in range(turns)
                    for key in (RIGHT, LEFT)
                ]
                floor, ours = _medians_ms([(one, other) for (one, _), (other, _) in pairs])
                yield Figure(f"arrow key, {name}, {where}", ours, "ms", 10, floor)


def _medians_ms(pairs: list[tuple[float, float]]) -> tuple[float, float]:
    plain, full = (1e3 * statistics.median(each) for each in zip(*pairs, strict=True))
    return plain, full


def main() -> None:
    turns = 6 if "--quick" in sys.argv else 20
    with tempfile.TemporaryDirectory() as scratch:
        print(help_text(turns))  # noqa: T201
        for figures in (first_key, arrow_keys):
            for figure in figures(Path(scratch), turns):
                print(figure, flush=True)  # noqa: T201


if __name__ == "__main__":
    main()
