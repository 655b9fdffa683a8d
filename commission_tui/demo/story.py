"""The demo's story read from `story/NN-stage.toml` and told through the same calls as any job.

A step is one table. What it says decides what happens: `check` with readings (`values`, `everywhere`,
`spread`, or a `script`: a function of `cast` and what it is told) or `skip`; `instrument`, `setting`,
`part`, `spare`, `person`, `visit`, `note`; `file` to keep; `limit` as agreed; `slip`; `fault`, `work`
on the fault just found or on the one named by `on`, and `photo`. `minutes` pass before each entry;
`by` is the lead (default) or the second technician.
"""

from __future__ import annotations

import inspect
import random
import tempfile
from collections.abc import Iterator, Mapping
from importlib import resources
from pathlib import Path
from typing import Any

import tomli

from commission_tui.checks.model.types import Value
from commission_tui.checks.places.places import places
from commission_tui.demo import cast, demo_pictures
from commission_tui.demo.clock import ScriptClock
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.judging.agreed_limits import limit_body
from commission_tui.logbook.logbook import OpenJob, body

_PEOPLE = {"lead": cast.LEAD, "second": cast.SECOND}
_BODIES: dict[str, type[e.Body]] = {
    "instrument": e.Instrument,
    "setting": e.SettingLogged,
    "part": e.PartFitted,
    "spare": e.SparePut,
    "person": e.Person,
    "visit": e.VisitBegun,
}


def chapters() -> Iterator[tuple[str, list[dict[str, Any]]]]:
    """Yield every chapter's name and steps, in the order of their numbers."""
    folder = resources.files("commission_tui.demo") / "story"
    for item in sorted(folder.iterdir(), key=lambda entry: entry.name):
        if item.name.endswith(".toml"):
            steps = tomli.loads(item.read_text(encoding="utf-8"))["steps"]
            yield item.name.removesuffix(".toml"), steps


class Player:
    """Plays the steps of the story to one job."""

    def __init__(self, job: OpenJob, clock: ScriptClock) -> None:
        self.job = job
        self.clock = clock
        self._faults: dict[str, str] = {}

    def play(self, step: Mapping[str, Any]) -> None:
        self.job.by = _PEOPLE[step.get("by", "lead")]
        minutes = float(step.get("minutes", 1))
        for key, kind in _BODIES.items():
            if key in step:
                self.clock.pass_minutes(minutes)
                self.job.record(body(kind, **step[key]))
        if "note" in step:
            self.clock.pass_minutes(minutes)
            self.job.record(body(e.Note, text=step["note"]))
        if "skip" in step:
            self.clock.pass_minutes(minutes)
            self.job.skip(step["check"], step["skip"])
        if "check" in step:
            self._readings(step, minutes)
        if "slip" in step:
            self._slip(step["slip"])
        if "fault" in step:
            self._fault(step["fault"])
        if "work" in step:
            self._work(step)
        if "limit" in step:
            self.clock.pass_minutes(minutes)
            given = {"low": None, "high": None, **step["limit"]}
            self.job.record(limit_body(self.job.state, **given))
        if "photo" in step:
            self._photo(step["photo"])
        if "file" in step:
            self._file(step["file"])

    # --- readings

    def _readings(self, step: Mapping[str, Any], minutes: float) -> None:
        check = step["check"]
        for field, values in self._values(check, step):
            read = [
                self.job.reading(check, field, place, value, confirmed=True)
                for place, value in values.items()
            ]
            self.clock.pass_minutes(minutes * (len(read) + 2))  # the first takes as long as three
            self.job.record_all(read)

    def _values(
        self, check: str, step: Mapping[str, Any]
    ) -> Iterator[tuple[str, Mapping[str, Value]]]:
        for field, value in step.get("everywhere", {}).items():
            yield field, dict.fromkeys(self._places(check, field), _number(value))
        for field, (mean, half) in step.get("spread", {}).items():
            noise = random.Random(f"{check} {field}")  # noqa: S311 (the same invented numbers)
            places_read = self._places(check, field)
            drawn = {p: _rounded(mean + noise.uniform(-half, half), half) for p in places_read}
            yield field, drawn
        for field, name in step.get("script", {}).items():
            called, *said = name.split()
            function = getattr(cast, called)
            takes_wall = "wall" in inspect.signature(function).parameters
            yield field, function(*([self.job.state.wall] if takes_wall else []), *said)
        for field, values in step.get("values", {}).items():
            yield field, {place: _number(value) for place, value in values.items()}

    def _places(self, check: str, field: str) -> tuple[str, ...]:
        item = self.job.state.checklist.check(check).field(field)
        return places(item.where, self.job.state.wall)

    def _slip(self, given: Mapping[str, Any]) -> None:
        """Log a value as it was typed, and put it right at once."""
        self.clock.pass_minutes(1)
        at = (given["check"], given["field"], given["place"])
        typed = self.job.read(*at, _number(given["typed"]), confirmed=True)
        self.job.correct(typed.id, self.job.reading(*at, _number(given["right"])), given["reason"])

    # --- faults

    def _fault(self, given: Mapping[str, Any]) -> None:
        self.clock.pass_minutes(2)
        found = self.job.fault(
            given["kind"],
            given["location"],
            given["severity"],
            note=given.get("note", ""),
            check=given.get("check"),
            seen_on=given.get("seen_on", ""),
        )
        self._faults[given.get("id", "")] = self._faults["last"] = found.id

    def _photo(self, given: Mapping[str, Any]) -> None:
        """Keep a picture that is drawn here; it is about the fault named by `on`, or a check."""
        self.clock.pass_minutes(1)
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / given["name"]
            path.write_bytes(demo_pictures.drawn(given["shows"]))
            self.job.photo(
                path,
                about=self._faults[given["on"]] if "on" in given else None,
                check=given.get("check"),
                caption=given["caption"],
            )

    def _file(self, given: Mapping[str, Any]) -> None:
        """Keep a file whose content stands in the story."""
        self.clock.pass_minutes(1)
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / given["name"]
            path.write_text(given["text"], encoding="utf-8")
            self.job.keep_file(path, given["what"], check=given.get("check"))

    def _work(self, step: Mapping[str, Any]) -> None:
        wanted = self._faults[step.get("on", "last")]
        for action, note in step["work"]:
            self.clock.pass_minutes(8)
            fault = next(f for f in self.job.state.faults if f.id == wanted)
            taken = cast.ACCEPTED if action == "accepted" else None
            self.job.work(fault, action, note=note, taken=taken)


def _number(value: Value) -> Value:
    return float(value) if isinstance(value, int) and not isinstance(value, bool) else value


def _rounded(value: float, half: float) -> float:
    """Round as an instrument of that scatter would show it."""
    digits = next((n for n in range(6) if half * 10**n >= 1), 6)
    return round(value, digits + 1)
