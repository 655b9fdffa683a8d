"""The demo job, walked from first power-up to signatures through the same calls as any other."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from importlib import resources
from pathlib import Path

from commission_tui.checks.places import places
from commission_tui.checks.types import Value
from commission_tui.demo import script
from commission_tui.handover import FORMATS, export, record_fingerprint
from commission_tui.logbook import entries as e
from commission_tui.logbook.ids import IdSource
from commission_tui.logbook.service import Logbook, OpenJob, body

Progress = Callable[[str], None]


class ScriptClock:
    """The clock of the invented evening: it moves only as the script says."""

    def __init__(self) -> None:
        self.moment = datetime(2026, 6, 8, 13, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.moment += timedelta(milliseconds=1)
        return self.moment

    def pass_minutes(self, minutes: float) -> None:
        self.moment += timedelta(minutes=minutes)


@dataclass(frozen=True, slots=True)
class DemoResult:
    """What an unattended walk leaves."""

    files: list[Path]
    verdicts: dict[str, str]


def make_demo(logbook: Logbook, on_progress: Progress) -> str:
    """Put the demo job into a logbook, unless it is there; return its id."""
    clock = ScriptClock()
    ids = IdSource(lambda bits: 1 << bits - 1)
    job_id = IdSource(lambda bits: 1 << bits - 1).next(ScriptClock()())
    if job_id in {known for known, _ in logbook.store.jobs()}:
        return job_id
    scripted = Logbook(logbook.path, clock, ids)
    try:
        return _Walk(scripted, clock, on_progress).run()
    finally:
        scripted.close()


def walk_unattended(folder: Path, on_progress: Progress) -> DemoResult:
    """Walk the demo in a database of its own and write its handover into a folder."""
    with tempfile.TemporaryDirectory() as scratch:
        book = Logbook(Path(scratch) / "demo.db")
        try:
            job = book.open(make_demo(book, on_progress), script.LEAD)
            files = export(job, folder, FORMATS, on_progress=on_progress)
            verdicts = {check: str(result.verdict) for check, result in job.outcomes().items()}
        finally:
            book.close()
    return DemoResult(files, verdicts)


class _Walk:
    """One evening and the next morning at Fellmoor Town Hall."""

    def __init__(self, book: Logbook, clock: ScriptClock, on_progress: Progress) -> None:
        self.clock = clock
        self.progress = on_progress
        text = (resources.files("commission_tui.demo") / "fellmoor.toml").read_text("utf-8")
        self.job: OpenJob = book.create(
            by=script.LEAD,
            name=script.NAME,
            client=script.CLIENT,
            integrator=script.INTEGRATOR,
            reference=script.REFERENCE,
            wall_text=text,
        )

    def run(self) -> str:
        for stage in (
            self.design,
            self.mechanics,
            self.power,
            self.mapping,
            self.inputs,
            self.light,
            self.room,
            self.handover,
            self.signatures,
        ):
            self.progress(f"{stage.__name__}: {len(self.job.state.entries)} entries so far")
            stage()
        return self.job.id

    # --- the ways of logging

    def fill(self, check: str, field: str, values: Mapping[str, Value], minutes: float = 1) -> None:
        """Log one field at several places, as one would go from place to place."""
        for place, value in values.items():
            self.clock.pass_minutes(minutes)
            self.job.read(check, field, place, value, confirmed=True)

    def one(self, check: str, **values: Value) -> None:
        for field, value in values.items():
            self.fill(check, field, {"wall": value})

    def everywhere(self, check: str, field: str, value: Value, minutes: float = 0.5) -> None:
        item = self.job.state.checklist.check(check).field(field)
        wanted = places(item.where, self.job.state.wall)
        self.fill(check, field, dict.fromkeys(wanted, value), minutes)

    def instrument(self, *keys: str) -> None:
        for values in script.INSTRUMENTS:
            if values["key"] in keys:
                self.job.record(body(e.Instrument, **values))

    def fault(self, kind: str, location: str, severity: str, check: str, note: str = "") -> int:
        self.clock.pass_minutes(2)
        found = self.job.fault(kind, location, severity, note=note, check=check)
        return next(f.number for f in self.job.state.faults if f.id == found.id)

    def work(self, number: int, action: str, note: str = "", by_client: str | None = None) -> None:
        self.clock.pass_minutes(8)
        fault = self.job.state.faults[number - 1]
        self.job.work(fault, action, note=note, accepted_by=by_client)

    # --- the stages

    def design(self) -> None:
        self.everywhere(
            "design-review",
            "answer",
            "The tender's 2.5 mm stands (500 mm / 200 px); quotation to be reissued. "
            f"{script.CLIENT_PERSON}, 8 June",
            4,
        )
        self.one("design-review", limits_agreed=True)

    def mechanics(self) -> None:
        self.instrument("tape", "load-cells")
        self.one("suspension-loads", certificate="Rigging certificate RC-2206, competent person")
        self.fill("suspension-loads", "load_kn", script.LOADS_KN, 2)
        self.one(
            "overall-size",
            width_mm=6003.0,
            height_mm=3001.5,
            diagonal_down_mm=6712.0,
            diagonal_up_mm=6710.0,
        )
        self.job.record(
            body(
                e.Instrument,
                key="feelers",
                name="Feeler gauges and straightedge",
                serial="FG-07",
                accuracy={"mm": {"absolute": 0.02}},
            )
        )
        self.one("level-flatness", level_mm=1.5, plumb_left_mm=0.8, plumb_right_mm=1.1)
        seams = places("seam", self.job.state.wall)[::10][:12]
        steps = [0.05, 0.1, 0.05, 0.0, 0.1, 0.05, 0.1, 0.15, 0.05, 0.0, 0.1, 0.05]
        self.fill("level-flatness", "step_mm", dict(zip(seams, steps, strict=True)))

    def power(self) -> None:
        self.instrument("clamp")
        circuits = places("circuit", self.job.state.wall)
        self.everywhere("circuit-identity", "as_scheduled", True, 2)
        amps = dict(zip(circuits, (8.3, 8.4, 8.2, 8.5, 8.3, 8.4), strict=True))
        self.fill("circuit-currents", "current_a", amps, 3)
        self.fill("phase-balance", "phase_current_a", {"L1": 16.8, "L2": 16.6, "L3": 16.7})
        leakage = dict(zip(circuits, (7.4, 7.6, 7.5, 7.9, 7.3, 7.6), strict=True))
        self.fill("earth-leakage", "leakage_ma", leakage)

    def mapping(self) -> None:
        self.everywhere("cards-on-ports", "cards_found", 12.0)
        self.one("cabinet-mapping", all_in_place=False)
        self.fill("cabinet-mapping", "seen", {"R2C4": "R2C5", "R2C5": "R2C4"})
        turned = self.fault(
            "cabinet shows wrong tile",
            "R2C4",
            "stop",
            "cabinet-mapping",
            "R2C4 and R2C5 show each other's tile",
        )
        self.work(turned, "mended", "The two jumpers between R2C4 and R2C5 changed over")
        self.clock.pass_minutes(5)
        self.fill("cabinet-mapping", "seen", {"R2C4": "R2C4", "R2C5": "R2C5"})
        self.one("cabinet-mapping", all_in_place=True)
        self.work(turned, "verified", "Whole numbered pattern read again")
        self.one("scan-direction", all_right=True)
        self.everywhere("loop-failure", "picture_held", True, 2)
        gaps = dict(
            zip(
                places("backed-up port", self.job.state.wall),
                (120.0, 140.0, 110.0, 130.0, 150.0, 120.0),
                strict=True,
            )
        )
        self.fill("loop-failure", "gap_ms", gaps)

    def inputs(self) -> None:
        laptop, mixer = places("input", self.job.state.wall)
        self.fill("input-format", "width_px", {laptop: 2400.0, mixer: 1920.0})
        self.fill("input-format", "height_px", {laptop: 1200.0, mixer: 1080.0})
        self.fill("input-format", "frame_rate_hz", {laptop: 60.0, mixer: 50.0})
        self.fill("input-picture", "one_to_one", {laptop: True, mixer: True})
        self.fill("input-picture", "edges_seen", {laptop: 4.0, mixer: 4.0})
        self.fill("input-picture", "lowest_code", {laptop: 1.0, mixer: 17.0})
        self.fill("input-picture", "highest_code", {laptop: 254.0, mixer: 234.0})

    def light(self) -> None:
        self.instrument("spot-meter", "colorimeter")
        self.clock.pass_minutes(30)
        self.job.record(body(e.Note, text="House dark, exit signs on; wall warm for 30 minutes."))
        self.one("brightness", room_cd_m2=0.04)
        points = script.nine_points()
        for place, value in points.items():
            self.clock.pass_minutes(1)
            if place == "point 6":  # a slip on the ladder, put right at once
                slip = self.job.read(
                    "brightness", "luminance_cd_m2", place, value * 10, confirmed=True
                )
                right = self.job.reading("brightness", "luminance_cd_m2", place, value)
                self.job.correct(slip.id, right, "one digit too many")
            else:
                self.job.read("brightness", "luminance_cd_m2", place, value)
        levels = script.cabinet_levels(self.job.state.wall, mended=False)
        self.fill("cabinet-luminance", "luminance_cd_m2", levels, 0.4)
        dark = str(script.DARK_CABINET)
        number = self.fault(
            "cabinet brighter or darker",
            dark,
            "shows",
            "cabinet-luminance",
            "13 % below its neighbours on white at house level",
        )
        self.work(number, "mended", "Receiving card had the brightness of another job; set back")
        mended = script.cabinet_levels(self.job.state.wall, mended=True)
        around = [str(c) for c in self.job.state.wall.neighbours(script.DARK_CABINET)]
        self.fill("cabinet-luminance", "luminance_cd_m2", {p: mended[p] for p in [dark, *around]})
        self.work(number, "verified", "Measured again with its four neighbours")
        x, y = script.white_points()
        self.fill("white-point", "x", x)
        self.fill("white-point", "y", y)
        self.fill("grey-scale", "luminance_cd_m2", script.grey_scale(), 0.5)
        self.one("seams", none_seen=True)
        self.fill("seams", "grade", {"R3C9 right": 1.0})
        self.fill("seams", "line", {"R3C9 right": "dark"})
        self.pixels()

    def pixels(self) -> None:
        self.fault("dark seam", "R3C9 right", "near", "seams", "Seen from 2 m on white only")
        self.everywhere("pixel-faults", "swept", True, 4)
        for x, y in ((318, 77), (1604, 951), (2207, 402)):
            self.fault("pixel dark", f"x{x} y{y}", "near", "pixel-faults", "Found on white")
        first = self.fault(
            "pixel stuck lit", "x1211 y402", "shows", "pixel-faults", "Red, on black"
        )
        self.work(first, "mended", "Module R3C7 m1,1 changed; serial of the spare M-0417")
        self.work(
            first - 1, "accepted", "Not visible from the first row", by_client=script.CLIENT_PERSON
        )

    def room(self) -> None:
        self.instrument("light-meter", "sync-meter")
        positions = places("stage position", self.job.state.wall)
        lux = dict(zip(positions, (560.0, 600.0, 470.0), strict=True))
        self.fill("front-light", "presenter_lx", lux, 3)
        cct = dict(zip(positions, (5450.0, 5500.0, 5380.0), strict=True))
        self.fill("front-light", "key_cct_k", cct)
        self.one("front-light", wall_white_cd_m2=203.0, wall_cct_k=6450.0)
        self.fill("spill-contrast", "spill_lx", script.spill())
        self.one("spill-contrast", lit_black_cd_m2=0.9, lit_white_cd_m2=204.0)
        balcony, stage_left = places("camera", self.job.state.wall)
        self.fill("cameras", "shutter_s", {balcony: 0.02, stage_left: 0.01})
        self.fill("cameras", "bands_grade", {balcony: 0.0, stage_left: 2.0})
        self.fill("cameras", "moire_free", {balcony: True, stage_left: True})
        self.fault(
            "bands or moire on camera",
            "wall",
            "shows",
            "cameras",
            "Camera 2 at 1/100 s shows rolling bands; clean at 1/60 s",
        )
        seats = places("seat", self.job.state.wall)
        self.fill("sound-picture", "offset_ms", dict(zip(seats, (21.0, -12.0, -38.0), strict=True)))
        self.one("legibility", smallest_read_px=44.0, template_px=48.0)

    def handover(self) -> None:
        self.clock.pass_minutes(600)
        self.one("spares", counted=7.0, lit=7.0, same_batch=True, kept_at="Rack room, shelf 2")
        self.one("backups", saved="Processor and card settings, 9 June", restored=True, copies=2.0)
        self.everywhere("training", "people_able", 2.0, 6)
        self.one("training", names=f"{script.CLIENT_PERSON}, Jon Ferris")
        for item in self.job.state.checklist.check("left-in-order").fields:
            self.one("left-in-order", **{item.name: True})

    def signatures(self) -> None:
        exceptions = len(self.job.blocking())
        self.clock.pass_minutes(20)
        self.job.record(
            body(
                e.Signature,
                role="integrator",
                name=script.LEAD,
                statement="The results above were measured as stated.",
                fingerprint=record_fingerprint(self.job),
                exceptions=exceptions,
            )
        )
