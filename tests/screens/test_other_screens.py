"""Jobs, overview, wall, punch list and handover, from the keyboard."""

from __future__ import annotations

import json
from pathlib import Path

from textual.widgets import Input

from commission_tui.handover import record_fingerprint
from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.handover.signature_pad import Pad
from tests.screens.conftest import SMALL_WALL
from tests.screens.helping import caption_of, everything, put, running, text_of, until


async def test_jobs_are_listed_and_opened(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook) as pilot:
        assert "0 of 4" in everything(pilot)
        await pilot.press("enter")
        await pilot.pause()
        assert "Brightness at nine points" in everything(pilot)
        await pilot.press("escape")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert "0 of 4" in everything(pilot)
        await pilot.press("enter")
        await pilot.pause()
        assert "Brightness at nine points" in everything(pilot)


async def test_a_job_is_opened_from_a_wall_file(logbook: Logbook, tmp_path: Path) -> None:
    path = tmp_path / "side.toml"
    async with running(logbook) as pilot:
        assert "No jobs yet" in text_of(pilot, "#message")
        await pilot.press("n")
        for key, value in {
            "wall": str(path),
            "name": "Side wall",
            "client": "Council",
            "integrator": "Tarnside",
        }.items():
            await put(pilot, f"#field-{key}", value)
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "cannot be read" in text_of(pilot, "#form-error")
        assert pilot.app.screen.query_one("#field-name", Input).value == "Side wall"
        path.write_text(SMALL_WALL, encoding="utf-8")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "Side wall" in text_of(pilot, "#heading")
    assert [job.name for job in logbook.jobs()] == ["Side wall"]


async def test_the_overview_says_what_is_next_and_what_blocks(
    logbook: Logbook, ready: OpenJob
) -> None:
    ready.fault("cabinet dark", "R1C2", "stop")
    async with running(logbook, ready) as pilot:
        assert "Next Brightness at nine points" in text_of(pilot, "#next")
        blocks = text_of(pilot, "#blocking-text")
        assert blocks.startswith("Blocks acceptance 5")
        assert "fault 1 at R1C2: cabinet dark, open" in blocks.splitlines()[1]
        assert "▲" in text_of(pilot, "#small-wall")
        await pilot.press("down", "enter")
        await pilot.pause()
        assert "Nothing temporary left" in text_of(pilot, "#check-where")


async def test_mend_verify_reopen_and_accept(logbook: Logbook, ready: OpenJob) -> None:
    for cell in ("R1C1", "R2C2"):
        ready.fault("cabinet dark", cell, "stop")
    async with running(logbook, ready) as pilot:
        await pilot.press("f5", "m", *"card", "enter", "v", "enter", "o", "enter")
        await pilot.pause()
        history = text_of(pilot, "#history-text")
        assert [w for w in ("found", "mended", "verified", "reopened") if w in history] == [
            "found", "mended", "verified", "reopened",
        ]  # fmt: skip
        assert "card" in history
        await pilot.press("a", "enter", "enter")
        await pilot.pause()
        assert "who accepts it for the client" in text_of(pilot, "#form-error")
        await put(pilot, "#field-accepted_by", "M. Hollis")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "by M. Hollis of the client" in text_of(pilot, "#history-text")
        await pilot.press("down", "v")
        await pilot.pause()
        told = [note.message for note in pilot.app._notifications]
        assert "fault 2 is open: it can be accepted or mended now" in told
        assert not pilot.app.screen.query("#form-error")
    assert [fault.state for fault in ready.state.faults] == ["accepted", "open"]


async def test_the_filter_narrows_as_one_types_and_escape_empties_it(
    logbook: Logbook, ready: OpenJob
) -> None:
    ready.fault("cabinet dark", "R2C2", "stop")
    ready.fault("dark seam", "R1C1 right", "near")
    async with running(logbook, ready) as pilot:
        await pilot.press("f5", "s", "s")
        assert "by place" in text_of(pilot, "#summary")
        await pilot.press("slash", *"seam")
        await pilot.pause()
        assert "1 of 2 shown" in text_of(pilot, "#summary")
        assert "dark seam" in text_of(pilot, "#history-text")
        await pilot.press("escape")
        await pilot.pause()
        assert "2 of 2 shown" in text_of(pilot, "#summary")
        await pilot.press("end", "enter")
        await pilot.pause()
        assert " R2C2 " in caption_of(pilot)


async def test_signing_names_the_record_as_it_stands(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f8")
        await pilot.pause()
        assert "client: not signed" in text_of(pilot, "#handover-right")
        assert "signature of the client" in text_of(pilot, "#handover-left")
        await pilot.press("s", "2", "enter", *"Marit", "enter", "enter", "enter")
        await pilot.pause()
        await pilot.press("escape")
        await pilot.pause()
        assert "client: Marit" in text_of(pilot, "#handover-right")
    (signature,) = ready.state.signatures
    assert signature.body.role == "client"
    assert signature.body.exceptions == 4
    assert signature.body.fingerprint == record_fingerprint(ready)


async def test_a_signature_is_drawn_with_the_mouse_and_kept_as_strokes(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f8", "s", "2", "enter", *"Marit", "enter", "enter", "enter")
        await pilot.pause()
        for x0, x1 in ((2, 30), (40, 50)):
            await pilot.mouse_down(Pad, offset=(x0, 3))
            await pilot.hover(Pad, offset=(x1, 9))
            await pilot.mouse_up(Pad, offset=(x1, 9))
        await pilot.press("u", "enter")
        await pilot.pause()
    (signature,) = ready.state.signatures
    assert signature.body.strokes is not None
    ((first, *_, last),) = signature.body.strokes
    assert first == (round(2.5 / 56 * 10_000), round(3.5 / 14 * 10_000))
    assert last == (round(30.5 / 56 * 10_000), round(9.5 / 14 * 10_000))


async def test_what_changed_behind_a_signature_is_not_signed(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f8", "s")
        ready.skip("kept", "no spares")
        await put(pilot, "#field-role", "client")
        await put(pilot, "#field-name", "Marit Hollis")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "has changed meanwhile" in text_of(pilot, "#form-error")
    assert not ready.state.signatures


async def test_export_writes_the_files_and_says_where(
    logbook: Logbook, ready: OpenJob, tmp_path: Path
) -> None:
    async with running(logbook, ready, export_dir=tmp_path / "out") as pilot:
        await pilot.press("f8", "e")
        await put(pilot, "#field-formats", "json html pdf")
        await pilot.press("ctrl+s")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        said = text_of(pilot, "#export-line")
        assert str(tmp_path / "out") in said
    names = sorted(path.name for path in (tmp_path / "out").iterdir())
    assert names == [f"fellmoor-side-wall.{form}" for form in ("html", "json", "pdf")]
    record = json.loads((tmp_path / "out" / "fellmoor-side-wall.json").read_text("utf-8"))
    assert record


async def test_an_unknown_format_and_a_failure_are_one_line(
    logbook: Logbook, ready: OpenJob, tmp_path: Path
) -> None:
    (tmp_path / "file").write_text("in the way")
    async with running(logbook, ready, export_dir=tmp_path / "file") as pilot:
        await pilot.press("f8", "e")
        await put(pilot, "#field-formats", "docx")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "found 'docx'" in text_of(pilot, "#form-error")
        await put(pilot, "#field-formats", "json")
        await pilot.press("ctrl+s")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        said = text_of(pilot, "#export-line")
        assert "cannot be written" in said
        assert "nothing written" in said
        await until(pilot, lambda: "Export" in everything(pilot).splitlines()[-1])


async def test_a_fault_logged_wrongly_is_corrected_or_withdrawn(
    logbook: Logbook, ready: OpenJob
) -> None:
    ready.fault("cabinet dark", "R1C1", "stop")
    async with running(logbook, ready) as pilot:
        await pilot.press("f5", "e")
        await put(pilot, "#field-place", "R9C9")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "expected a cabinet of this wall" in text_of(pilot, "#form-error")
        await put(pilot, "#field-place", "r2c2")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert ready.state.faults[0].found.body.location == "R2C2"
        assert "corrected  typed wrong" in text_of(pilot, "#history-text")
        await pilot.press("e")
        await put(pilot, "#field-kind", "")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "No fault logged" in text_of(pilot, "#history-text")
    assert ready.state.faults == ()
