"""Entries at once and one by one make the same state, however many stand at one place."""

from __future__ import annotations

from pathlib import Path

from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body, changed_body
from commission_tui.logbook.entries.entry_parts import Accuracy
from commission_tui.logbook.entries.models import Entry
from commission_tui.logbook.state.fold import fold
from tests.handover.helping import make_job

MANY = 600
CHECK, FIELD, PLACE = "cabinet-luminance", "luminance_cd_m2", "R1C1"


def test_very_many_readings_of_one_place_fold_as_one_by_one(tmp_path: Path) -> None:
    job = make_job(tmp_path)
    accuracy = {"cd/m2": Accuracy(percent=2.0)}
    job.record(e.Instrument(key="spot", name="Meter", serial="LM-1", accuracy=accuracy))
    reading = job.reading(CHECK, FIELD, PLACE, 200.0)
    before = job.state
    at = before.entries[before.last_id].at

    def entry(number: int, said: e.AnyBody) -> Entry:
        return Entry(
            id=f"{before.last_id[:-12]}{number:012x}", job=job.id, at=at, by="A", body=said
        )

    first = int("f" + "0" * 11, 16)
    read = [entry(first + n, changed_body(reading, value=200.0 + n)) for n in range(MANY)]
    mended = [
        entry(first + MANY + n, body(e.Correction, corrects=one.id, replacement=new, reason="x"))
        for n, one in enumerate(read)
        for new in [None if n % 3 else changed_body(one.body, value=1.0 + n, place="R1C2")]
    ]
    half = fold(read, before)
    kept = half.slot(CHECK, FIELD, PLACE)
    assert len(kept) == MANY
    at_once, one_by_one = fold(mended, half), half
    for one in mended:
        one_by_one = fold([one], one_by_one)
    assert at_once.readings == one_by_one.readings == fold([*read, *mended], before).readings
    assert at_once.slot(CHECK, FIELD, PLACE) == ()
    assert [x.body.value for x in at_once.slot(CHECK, FIELD, "R1C2")] == [
        1.0 + n for n in range(0, MANY, 3)
    ]
    assert half.slot(CHECK, FIELD, PLACE) == kept  # an earlier state stays what it was
    assert len(kept) == MANY
