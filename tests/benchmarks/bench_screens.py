"""What the screens cost beside a bare Textual app in the same run: first paint, a key, memory, --help.

Run ``python -m tests.benchmarks.bench_screens``; ``--quick`` takes fewer turns.
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
RIGHT, LEFT, PAGE_UP, PAGE_DOWN = b"\x1b[C", b"\x1b[D", b"\x1b[5~", b"\x1b[6~"
LAYERS = ("progress", "chains", "circuits", "luminance", "faults", "mapping", "change")
HERE = "here"
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
class Measured:
    """One figure of ours beside the bare one, and the most that it may be where that is set."""

    what: str
    bare: float
    ours: float
    unit: str
    most: float | None = None

    def __str__(self) -> str:
        ratio = self.ours / self.bare
        bound = "no bound set"
        if self.most is not None:
            word = "holds" if ratio <= self.most else "FALLS SHORT"
            bound = f"at most {self.most}: {word}"
        return (
            f"{self.what}: bare {self.bare:.1f} {self.unit}, ours {self.ours:.1f} {self.unit}, "
            f"ratio {ratio:.2f} ({bound})"
        )


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
    make_demo(book, on_progress=lambda _: None)
    book.close()
    return path


def ours(database: Path) -> list[str]:
    book = Logbook(database)
    job_id = book.store.jobs()[0][0]
    book.close()
    return [sys.executable, "-m", "tests.benchmarks.opening", str(database), job_id]


def bare() -> list[str]:
    return [sys.executable, "-c", BARE_APP]


def demo_as_typed(database: Path) -> list[str]:
    """Return what one types to open the demo job that is there already."""
    where = ["--database", str(database), "--as", "A. Technician"]
    return [sys.executable, "-m", "commission_tui", *where, "demo"]


# --- the four

OF_THE_JOB = b"checks done"
"""What nothing but the job's own overview says."""
LAST_LINE = b"G"
"""The key that goes to the last line of a list."""


def first_paint(folder: Path, turns: int) -> list[Measured]:
    """Time from the start until the demo job's overview is seen, and until it answers a key.

    Of a start after another, and of the first one ever, which finds nothing that was shown before. The
    key is pressed as soon as anything is seen; what answers it is in neither picture before.
    """
    database = demo_job(folder)
    command = demo_as_typed(database)
    kept = database.with_name(f"{database.name}.picture")
    answer = _last_check(database)
    for once in (bare(), command):  # brings the bytecode in
        with InTerminal(once) as terminal:
            terminal.quiet(3.0)
    plain, again, first = [], [], []
    for _ in range(turns):
        plain.append(_seen_and_answered(bare(), b"#000", b"#000", RIGHT, b"#001"))
        kept.unlink(missing_ok=True)
        first.append(_seen_and_answered(command, b"Opening", OF_THE_JOB, LAST_LINE, answer))
        with InTerminal(command) as terminal:
            while not kept.exists():
                terminal.quiet()
        again.append(_seen_and_answered(command, OF_THE_JOB, OF_THE_JOB, LAST_LINE, answer))
    floor, answered = _medians(plain)
    seen, pressed = _medians(again)
    seen_first, pressed_first = _medians(first)
    return [
        Measured("first paint, demo job", floor, seen, "ms", 1.5),
        Measured("first paint, demo job, never opened before", floor, seen_first, "ms", 1.5),
        Measured("until a key is answered", answered, pressed, "ms"),
        Measured("until a key is answered, never opened before", answered, pressed_first, "ms"),
    ]  # fmt: skip


def _seen_and_answered(
    command: list[str], anything: bytes, content: bytes, key: bytes, answer: bytes
) -> tuple[float, float]:
    with InTerminal(command) as terminal:
        terminal.until(anything)
        terminal.type(key)
        return terminal.until(content), terminal.until(answer)


def _medians(pairs: list[tuple[float, float]]) -> tuple[float, float]:
    seen, answered = (1e3 * statistics.median(each) for each in zip(*pairs, strict=True))
    return seen, answered


def _last_check(database: Path) -> bytes:
    """Return how the last check's line in the list begins."""
    book = Logbook(database)
    checks = list(book.open(book.store.jobs()[0][0], "A. Technician").state.checklist)
    book.close()
    return checks[-1].title[:20].encode()


def _places() -> Iterator[tuple[str, tuple[bytes, ...], tuple[bytes, bytes]]]:
    """Yield each layer in the corner, in the middle, far apart from its caption, and drawn larger."""
    arrows, pages = (RIGHT, LEFT), (PAGE_UP, PAGE_DOWN)
    for number, layer in enumerate(LAYERS, start=1):
        yield f"arrow key, {layer}, corner", (b"0", str(number).encode(), b"r1 1\r"), arrows
        yield f"arrow key, {layer}, middle", (b"r40 60\r",), arrows
        yield f"page key, {layer}, middle", (), pages
        yield f"arrow key, {layer}, drawn larger", (b"r40 60\r", b"+", b"+"), arrows


def keys_and_memory(folder: Path, turns: int) -> tuple[list[Measured], int]:
    database = large_job(folder)
    with InTerminal(bare(), columns=120, rows=40) as plain:
        plain.until(b"#000")
        plain.quiet(0.5)
        with InTerminal(ours(database), columns=120, rows=40) as full:
            full.until(b"Overview")
            full.quiet(1.0)
            full.press(b"\x1bOS")  # F4
            full.until(b"FRONT VIEW")
            full.quiet(1.0)
            memory = Measured(
                "memory, 10,000 cabinets and 100,000 entries", plain.resident_bytes() / 2**20,
                full.resident_bytes() / 2**20, "MB", 3.0,
            )  # fmt: skip
            found, most = [memory], 0
            for name, before, keys in _places():
                for key in before:
                    full.press(key)
                    full.quiet(0.3)
                for key in keys:  # what a jump scrolls into view is painted whole, once
                    full.press(key)
                pairs = [
                    (plain.press(RIGHT), full.press(key)) for _ in range(turns) for key in keys
                ]
                most = max(most, *(count for _, (_, count) in pairs))
                slow, fast = (
                    1e3 * statistics.median(t for t, _ in each) for each in zip(*pairs, strict=True)
                )
                found.append(Measured(f"{name}, 10,000 cabinets", slow, fast, "ms", 1.5))
    return found, most


def help_text(turns: int) -> Measured:
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
    plain, full = (1e3 * statistics.median(each) for each in zip(*pairs, strict=True))
    return Measured("--help", plain, full, "ms", 1.3)


def main() -> None:
    turns = 6 if "--quick" in sys.argv else 20
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        print(help_text(turns))  # noqa: T201
        for item in first_paint(folder, turns):
            print(item)  # noqa: T201
        measured, most = keys_and_memory(folder, turns)
    for item in measured:
        print(item)  # noqa: T201
    word = "holds" if most <= 2048 else "FALLS SHORT"
    print(f"most bytes sent for such a key: {most} (at most 2048): {word}")  # noqa: T201


if __name__ == "__main__":
    main()
