"""What was logged as one act is taken back as one, and nothing that was logged before it."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from commission_tui.demo.clock import ScriptClock
from commission_tui.logbook.actions.taking_back import (
    authors,
    issued_since,
    last_acts,
    since_signed,
    taken_back_words,
    undo,
)
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.logbook import Logbook, body
from commission_tui.logbook.state.fault_steps import fault_body, work_bodies
from tests.logbook.four_checks import METER

LEVEL = ("cabinet-luminance", "luminance_cd_m2")
ROWS = [f"R{row}C{column}" for row in (1, 2) for column in (1, 2, 3)]


def test_faults_in_a_row_a_step_on_some_and_a_table_are_an_act_each(
    tmp_path: Path, demo_wall_text: str
) -> None:
    clock = ScriptClock()  # a millisecond on at each entry
    logbook = Logbook(tmp_path / "logbook.db", clock)
    job = logbook.create(
        by="A. Technician", name="Hall", client="C", integrator="I", wall_text=demo_wall_text
    )
    job.record(body(e.Instrument, **METER))
    dark = partial(fault_body, job.state, "cabinet dark", severity="stop")
    acts = (
        lambda: [dark("R3C1")],
        lambda: [dark(place) for place in ROWS],
        lambda: work_bodies(job.state, [f.id for f in job.state.faults[1:4]], "mended")[1],
        lambda: [job.reading(*LEVEL, "R3C1", 600.0)],
        lambda: [job.reading(*LEVEL, place, 600.0) for place in ROWS],
    )
    for made in acts:
        clock.pass_minutes(0.01)
        job.record_all(made())
    for many in (6, 1, 3, 6, 1):
        assert len(last_acts(job.state)) == many
        undo(job)
    assert not job.state.faults
    logbook.close()


def test_what_is_taken_back_is_said_with_who_logged_it(tmp_path: Path, demo_wall_text: str) -> None:
    clock = ScriptClock()
    logbook = Logbook(tmp_path / "logbook.db", clock)
    job = logbook.create(
        by="A. Technician", name="Hall", client="C", integrator="I", wall_text=demo_wall_text
    )
    found = job.record(fault_body(job.state, "cabinet dark", "R3C1", severity="stop"))
    clock.pass_minutes(1)
    job.correct(found.id, None, "none was there")
    acts = last_acts(job.state)
    (said,) = taken_back_words(job.state, acts)
    assert said == "fault 1: cabinet dark at R3C1, stop, withdrawn"
    assert authors(job.state, acts, "A. Technician") == []
    assert authors(job.state, acts, "B. Technician") == ["logged by A. Technician"]
    logbook.close()


def test_a_table_taken_back_leaves_how_its_columns_are_read(
    tmp_path: Path, demo_wall_text: str
) -> None:
    logbook = Logbook(tmp_path / "logbook.db", ScriptClock())
    job = logbook.create(
        by="A. Technician", name="Hall", client="C", integrator="I", wall_text=demo_wall_text
    )
    job.record(body(e.Instrument, **METER))
    columns = {"P": "place", "L": LEVEL[1]}
    mapping = body(e.TableMapping, name="spot meter", check=LEVEL[0], columns=columns)
    job.record_all([mapping, *(job.reading(*LEVEL, place, 600.0) for place in ROWS)])
    assert len(last_acts(job.state)) == len(ROWS)
    undo(job)
    assert [kept.body.name for kept in job.state.mappings] == ["spot meter"]
    (said,) = taken_back_words(job.state, last_acts(job.state))
    assert "spot meter" in said
    undo(job)
    assert not job.state.mappings
    logbook.close()


def test_a_document_that_was_issued_again_when_it_was_signed_is_named_once(
    tmp_path: Path, demo_wall_text: str
) -> None:
    logbook = Logbook(tmp_path / "logbook.db", ScriptClock())
    job = logbook.create(
        by="A. Technician", name="Hall", client="C", integrator="I", wall_text=demo_wall_text
    )
    note = job.record(body(e.Note, text="house dark"))
    for number, file in (("37ec/1", "a"), ("37ec/1", "b"), ("37ec/2", "c")):
        job.record(body(e.DocumentIssued, number=number, fingerprint="d" * 64, sha256=file * 64))
    said = "document 37ec/1, 37ec/2 issued since"
    assert issued_since(job.state, note.id) == since_signed(job.state, note.id) == [said]
    logbook.close()
