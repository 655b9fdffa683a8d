"""Random but valid work on site, day after day, through the code that screens and commands use."""

from __future__ import annotations

import io
from collections import Counter
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from random import Random

from PIL import Image

from commission_tui.checks.model.definition import CheckDefinition, FieldDefinition
from commission_tui.checks.model.physical_bounds import why_impossible
from commission_tui.checks.model.types import Value
from commission_tui.checks.places.places import places
from commission_tui.errors import InputError
from commission_tui.logbook.actions.scope_actions import SETTINGS, change_setting
from commission_tui.logbook.actions.taking_back import undo
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.integrity.merge import database_source, merge
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.agreed_limits import limit_body
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.state.fault_steps import AsItIs
from commission_tui.logbook.state.parts import fitting_bodies, inventory, not_registered, spare_body
from commission_tui.logbook.store import backup
from tests.handover.helping import FELLMOOR

_FAULTS = (
    ("pixel dark", "R3C{c} x7 y{p}", "near"),
    ("dark seam", "R3C{c} right", "near"),
    ("cabinet tinted", "R{r}C{c}", "shows"),
    ("bands or moire on camera", "wall", "shows"),
)
_UNITS_AT_ONCE = 40


class SiteClock:
    """Time on site: it moves with the work, and jumps to the next morning."""

    def __init__(self, rng: Random) -> None:
        self._rng = rng
        self.moment = datetime(2026, 5, 4, 7, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.moment += timedelta(seconds=self._rng.uniform(1, 25))
        return self.moment

    def morning(self) -> None:
        self.moment = (self.moment + timedelta(days=1)).replace(hour=7, minute=0)


class Site:
    """One job, two people on one logbook, and a second laptop now and then."""

    def __init__(self, folder: Path, seed: str) -> None:
        self.folder = folder
        self.rng = Random(seed)  # noqa: S311
        self.clock = SiteClock(self.rng)
        self.done: Counter[str] = Counter()
        self.book = Logbook(folder / "site.db", self.clock)
        self.other = Logbook(folder / "site.db", self.clock)
        ines = self.book.create(
            by="Ines Okafor",
            name="Fellmoor Town Hall, main auditorium",
            client="Fellmoor Town Council",
            integrator="Tarnside Integration",
            wall_text=FELLMOOR.read_text(encoding="utf-8"),
        )
        self._meters(ines)
        ines.record(e.Person(name="Marit Hollis", role="client", mail="marit@example.org"))
        self.job = ines.id
        self.people = (ines, self.other.open(ines.id, "Tom Reyes"))

    def close(self) -> None:
        self.other.close()
        self.book.close()

    def _meters(self, job: OpenJob, mark: str = "1") -> None:
        """Log instruments for every unit that is measured, some units to each."""
        asked = (item for check in job.state.checklist for item in check.fields if item.measured)
        units = sorted({item.unit for item in asked})
        for number, unit in enumerate(units[:_UNITS_AT_ONCE]):
            accuracy = {unit: {"percent": 2.0, "absolute": 0.01}}
            job.record(
                body(
                    e.Instrument,
                    key=f"meter-{number}",
                    name=f"Meter for {unit}",
                    serial=f"M{mark}-{number}",
                    calibration_due=date(2027, 3, 1),
                    accuracy=accuracy,
                )
            )

    # --- a day

    def day(self, steps: int) -> None:
        """Work for a day, two people in turn; each sees what the other wrote."""
        for _ in range(steps):
            self.step(self.rng.choice(self.people))
        for job in self.people:
            job.refresh()
        backup.roll_copies(self.book.path, self.clock.moment)
        self.clock.morning()

    def day_on_two_laptops(self, steps: int) -> None:
        """Work for a day on this laptop and on a copy of it, and bring the two together."""
        copied = backup.copy_database(self.book.path, self.folder / "second.db")
        second = Logbook(copied, self.clock)
        away = second.open(self.job, "Ada Brandt")
        for _ in range(steps):
            self.step(self.rng.choice((*self.people, away)))
        second.close()
        with database_source(copied) as source:
            merged = merge(self.book, [source])
        self.done["merged"] += merged.added
        copied.unlink()
        self.day(0)

    def step(self, job: OpenJob) -> None:
        """Do one thing, as likely as it is on site."""
        job.refresh()
        ways: tuple[tuple[Callable[[OpenJob], object], int], ...] = (
            *((self._read, 60), (self._slip, 6), (self._undo, 3), (self._again, 3)),
            *((self._fault, 6), (self._work, 12), (self._note, 4), (self._photo, 2)),
            *((self._setting, 3), (self._part, 4), (self._limit, 1), (self._skip, 1)),
            *((self._meter, 1), (self._visit, 0.2), (self._unskip, 1)),  # type: ignore[assignment]
        )
        way = self.rng.choices([w for w, _ in ways], [n for _, n in ways])[0]
        way(job)
        self.done[way.__name__.strip("_")] += 1

    # --- things done

    def _asked(self, job: OpenJob) -> tuple[CheckDefinition, FieldDefinition, str]:
        """Choose what to read: mostly what is still to do."""
        check = self.rng.choice([*job.state.checklist])
        item = self.rng.choice(check.fields)
        wanted = [*places(item.where, job.state.wall)] or ["wall"]
        return check, item, self.rng.choice(wanted)

    def value(self, item: FieldDefinition) -> Value:
        if item.kind == "yes-no":
            return self.rng.random() < 0.95
        if item.kind == "choice":
            return self.rng.choice(item.good or item.choices)
        if item.kind == "text":
            return self.rng.choice(("Rack room, shelf 2", "preset 4", "as drawn — é ü 漢"))
        if item.kind == "date":
            return f"2025-0{self.rng.randint(1, 9)}-17"
        low = item.low if item.low is not None else 0.0
        high = item.high if item.high is not None else 100.0
        value = self.rng.uniform(low, min(high, low + 1000.0))
        value = round(value, self.rng.choice((0, 1, 3)))
        return float(round(value)) if why_impossible(value, item.unit, low, high) else value

    def _read(self, job: OpenJob) -> e.Entry | None:
        check, item, place = self._asked(job)
        try:
            return job.read(check.id, item.name, place, self.value(item), confirmed=True)
        except InputError:  # a number with no meaning here: whole ones, or a place a design lacks
            self.done["refused"] += 1
            return None

    def _again(self, job: OpenJob) -> None:
        entry = self._read(job)
        if entry is not None and isinstance(entry.body, e.ReadingTaken):
            what = (entry.body.check, entry.body.field, entry.body.place)
            job.read(*what, entry.body.value, confirmed=True, again=True)

    def _slip(self, job: OpenJob) -> None:
        entry = self._read(job)
        if entry is None or not isinstance(entry.body, e.ReadingTaken):
            return
        wrong = entry.body
        item = job.state.checklist.check(wrong.check).field(wrong.field)
        right = job.reading(wrong.check, wrong.field, wrong.place, self.value(item), confirmed=True)
        if right != wrong:
            job.correct(entry.id, right, "typed wrong")
        if self.rng.random() < 0.2:
            job.correct(entry.id, None, "read at the wrong place")

    def _undo(self, job: OpenJob) -> None:
        undo(job)

    def _fault(self, job: OpenJob) -> None:
        kind, where, severity = self.rng.choice(_FAULTS)
        pick = {
            "r": self.rng.randint(1, 6),
            "c": self.rng.randint(1, 11),
            "p": self.rng.randint(0, 9),
        }
        job.fault(kind, where.format(**pick), severity, note="seen on white")

    def _work(self, job: OpenJob) -> None:
        faults = job.state.faults
        if not faults:
            return
        fault = self.rng.choice(faults)
        steps = {
            "open": ("mended", "mended", "accepted"),
            "mended": ("verified", "verified", "reopened"),
        }.get(fault.state, ("reopened",))
        job.work(
            fault,
            self.rng.choice(steps),
            note="done",
            taken=AsItIs("Marit Hollis", "Our firm", date(2026, 7, 14)),
        )

    def _note(self, job: OpenJob) -> None:
        job.record(body(e.Note, text=self.rng.choice(("House dark.", "Tea break", "Rain: 漢 é"))))

    def _photo(self, job: OpenJob) -> None:
        out = io.BytesIO()
        shade = (self.rng.randrange(256), self.rng.randrange(256), 90)
        Image.new("RGB", (320, 180), shade).save(out, "JPEG")
        path = self.folder / "photo.jpg"
        path.write_bytes(out.getvalue())
        about = self.rng.choice(job.state.faults).id if job.state.faults else None
        job.photo(path, about=about, caption="as found")

    def _setting(self, job: OpenJob) -> None:
        kept = "only the picture's level" if self.rng.random() < 0.5 else None
        cell = f"R{self.rng.randint(1, 6)}C{self.rng.randint(1, 11)}"
        place = self.rng.choice(("wall", cell))
        value = f"{self.rng.randint(10, 100)} %"
        change_setting(job, self.rng.choice(SETTINGS), value, place=place, kept=kept)

    def _part(self, job: OpenJob) -> None:
        now = inventory(job.state)
        serial = f"S-{self.clock.moment:%m%d%H%M%S%f}"
        if self.rng.random() < 0.2:
            job.record(spare_body(now, "module", serial, batch="B2", kept_at="shelf 1"))
            return
        empty = not_registered(job.state, "module")
        fitted = [at for sort, at in now.fitted if sort == "module"]
        if fitted and (not empty or self.rng.random() < 0.4):
            at = self.rng.choice(sorted(fitted))
            old = now.fitted["module", at].serial
            made = fitting_bodies(job.state.wall, now, "module", at, serial, replaces=old)
        else:
            made = fitting_bodies(
                job.state.wall, now, "module", self.rng.choice(empty), serial, batch="B1"
            )
        job.record(made)

    def _limit(self, job: OpenJob) -> None:
        check = self.rng.choice([one for one in job.state.checklist if one.limits])
        name = self.rng.choice(check.limits).name
        high = round(self.rng.uniform(1, 500), 1)
        job.record(
            limit_body(
                *(job.state, check.id, name),
                low=None,
                high=high,
                source="minutes of the site meeting",
                agreed_by="Marit Hollis",
                reason="agreed on site",
            )
        )

    def _skip(self, job: OpenJob) -> None:
        job.skip(self.rng.choice([*job.state.checklist]).id, "not ordered")

    def _unskip(self, job: OpenJob) -> None:
        skipped = [
            logged for check in sorted(job.state.skipped) for logged in job.state.skipped[check]
        ]
        if skipped:
            job.correct(self.rng.choice(skipped).id, None, "ordered after all")

    def _meter(self, job: OpenJob) -> None:
        self._meters(job, mark=f"{self.clock.moment:%d}")

    def _visit(self, job: OpenJob) -> None:
        name = f"visit {self.clock.moment:%d %B %H:%M:%S}"
        job.record(body(e.VisitBegun, name=name, reason="as planned", hours_run=100.0))
