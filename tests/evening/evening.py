"""The evening: one person, 36 cabinets, the short scope, from `wall new` to a signed document.

Names and numbers are invented.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from commission_tui.checks.places.places import GREY_STEPS, SEATS, SOLID_COLOURS
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.plan.planning import plan
from tests.evening.player import Counted, Tally, answered

ALONE = ("power on", "house dark", "house quiet", "lift", "rear access", "sources")
"""What one person has there in the evening."""
MINUTES = 240
PHRASE = "long enough to keep"

WALL = (
    *("Stage wall", "Fellmoor Town Hall", "flown", "GB"),
    *("9 x 4", "500x500", "192x192", "2x2", "8,4", "180", "", ""),
    *("16", "650k", "", ""),
    *("n", "n", "n"),  # backup runs, second processor, fibre
    *("", "", "", "", "y", "", "n"),  # supply, residual-current devices, second supply
    *("y", "H1, 250 mm, 5 kN", "H2, 4250 mm, 5 kN", ""),
    *("Laptop, HDMI 1, 1920x1080, 50", "Cameras, SDI 1, 1920x1080, 50", ""),
    *("y", "Camera 1, 12 m, 1/50, 50", "", "Lectern", ""),
    *("", "n", ""),  # sound from picture, daylight, fire input
    *("800", "120", "4", "20", "30", "4", "", ""),  # all at once: none is said twice
    *("", ""),  # units and time zone of the document
)
JOB = ("", "Fellmoor Council", "Tarn & Fell Integration", "", "n", "n", "")
"""Name and scope as offered; fire input and emergency stop are not there, of restraint nobody knows."""


class Evening:
    """Plays the evening in a folder; `tally` has the keys, `planned` what fits into the evening."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.book = folder / "book.db"
        self.tally = Tally()
        self.planned: list[tuple[str, float]] = []

    def play(self, *, short: bool = False) -> None:
        """Play it from its beginning to its end; `short` leaves out what is only more of the same."""
        self._begin()
        data = str(self.folder / "data")
        with Counted(self.tally, self.book, self.job, XDG_DATA_HOME=data) as screens:
            for what, do in STEPS:
                if not (short and what in MORE_OF_THE_SAME):
                    screens.doing = what
                    do(screens)

    def _begin(self) -> None:
        wall = str(self.folder / "wall.toml")
        answered(self.tally, "wall new", ("wall", "new", wall), WALL)
        answered(self.tally, "job new", ("--database", str(self.book), "job", "new", wall), JOB)
        book = Logbook(self.book)
        (only,) = book.jobs()
        self.job = only.id
        job = book.open(only.id, "A. Technician")
        tonight = plan(job.state, job.outcomes(), MINUTES, ALONE)
        self.planned = [(task.check or task.title, task.minutes) for task in tonight.now]
        book.close()


def _check(screens: Counted, words: str) -> None:
    screens.line("find", words, "enter")


def _tiles(screens: Counted) -> None:
    """Row 2, column 3 shows the tile of column 4; then it is put right."""
    screens.line("wall", "r2c3", "enter", "t")
    screens.line("enter", "2.4", "enter")


def _tiles_again(screens: Counted) -> None:
    screens.line("escape", "a")
    screens.line("down", "enter")
    screens.answer("enter")


def _first_looks(screens: Counted) -> None:
    screens.line("walk")
    _check(screens, "scan")
    screens.line("y", "enter")
    _check(screens, "full fields")
    screens.line(*(part for _ in SOLID_COLOURS for part in ("y", "enter")))


def _first_luminance(screens: Counted) -> None:
    _check(screens, "nits")
    screens.line("801", "enter")
    screens.line("spot", "enter", "a42", "enter", "enter")
    screens.line("cd/m2 2 %; xy + 0.002", "done")


def _other_points(screens: Counted) -> None:
    """With a slip that is asked about, a reading typed over another, and one that is corrected."""
    screens.line("803", "enter", "80.3", "enter")
    screens.answer("clear", "798", "enter")
    screens.line(*(part for n in (805, 795, 790, 799, 786, 782) for part in (str(n), "enter")))
    screens.line("up", "up", "787", "enter")  # point 8 stands already
    screens.answer("right", "enter")
    screens.line("down", "0.2", "enter")  # past point 9, which is read: the dark wall


def _dead_pixel(screens: Counted) -> None:
    _check(screens, "dead pixel")
    screens.line(*(part for _ in SOLID_COLOURS for part in ("y", "enter")))
    screens.line("fault", "dead", "enter", "x1210 y402", "done")


def _inputs(screens: Counted) -> None:
    _check(screens, "1:1")
    for _ in range(2):
        screens.line("y", "enter", "4", "enter", "1", "enter", "254", "enter")


def _cameras(screens: Counted) -> None:
    _check(screens, "moire")
    screens.line("1/50", "enter", "0", "enter", "y", "enter")


def _presenter(screens: Counted) -> None:
    _check(screens, "lux")
    screens.line("350", "enter")
    screens.line("lux", "enter", "b12", "enter", "enter")
    screens.line("lx,K", "done")
    screens.line("4300", "enter", "120", "enter", "4500", "enter")


def _sound(screens: Counted) -> None:
    _check(screens, "lip sync")
    screens.line("20", "enter")
    if screens.last["screen"] != "WalkScreen":
        screens.line("clapper", "enter", "c7", "done")
    screens.line(*(part for _ in SEATS[1:] for part in ("25", "enter")))


def _white(screens: Counted) -> None:
    _check(screens, "d65")
    screens.line(*(part for _ in range(9) for part in ("0.313", "enter", "0.329", "enter")))


def _grey(screens: Counted) -> None:
    _check(screens, "gamma")
    for step in GREY_STEPS:
        share = float(str(step).split()[0]) / 100
        screens.line(f"{max(0.2, 800 * share**2.2):.3g}", "enter")
        if screens.last["asks"]:
            screens.line("enter")


def _seams(screens: Counted) -> None:
    _check(screens, "seams")
    screens.line("y", "enter")


def _spares(screens: Counted) -> None:
    _check(screens, "spare modules")
    screens.line("4", "enter", "4", "enter", "y", "enter", "dimmer room", "enter")


def _mended(screens: Counted) -> None:
    screens.line("punch", "m")
    screens.line("module changed", "enter")
    screens.line("v", "enter")


def _signed(screens: Counted) -> None:
    screens.line("handover", "s")
    screens.line("1", "enter", "A. Technician", "enter", "Tarn & Fell Integration", "done")
    screens.line("enter")  # not drawn
    screens.line("e")
    screens.line("done")
    screens.until_idle()
    screens.line("n")
    screens.line(PHRASE, "enter", PHRASE, "enter")
    screens.until_idle()
    screens.line("f")
    screens.line(PHRASE, "enter", "1", "enter", "A. Technician", "enter", "done")
    screens.until_idle()


MORE_OF_THE_SAME = frozenset({"sound", "white", "grey", "seams", "spares"})
STEPS: tuple[tuple[str, Callable[[Counted], None]], ...] = (
    ("a wrong tile", _tiles),
    ("the tile put right", _tiles_again),
    ("scan and solid colours", _first_looks),
    ("first luminance", _first_luminance),
    ("nine points, with slips", _other_points),
    ("dead pixel", _dead_pixel),
    ("inputs", _inputs),
    ("cameras", _cameras),
    ("presenter against wall", _presenter),
    ("sound", _sound),
    ("white", _white),
    ("grey", _grey),
    ("seams", _seams),
    ("spares", _spares),
    ("found to verified", _mended),
    ("signed and written", _signed),
)
