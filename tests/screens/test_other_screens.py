"""Jobs, overview, wall, punch list and handover, from the keyboard."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from textual.widgets import Input

from commission_tui.errors import DocumentError
from commission_tui.handover import record_fingerprint
from commission_tui.logbook.service import Logbook, OpenJob
from commission_tui.screens import handover as handover_screen
from commission_tui.screens.widgets.wall_map import WallMap
from commission_tui.wall.location import Cell
from tests.screens.conftest import SMALL_WALL
from tests.screens.helping import everything, put, running, text_of


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


async def test_the_arrows_move_as_the_wall_is_seen(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", "right", "down")
        await pilot.pause()
        assert "R2C2" in text_of(pilot, "#cursor-lines")
        assert "FRONT VIEW" in text_of(pilot, "#layer-line")
        await pilot.press("v", "right")
        await pilot.pause()
        assert "REAR VIEW" in text_of(pilot, "#layer-line")
        assert " R2C1 " in text_of(pilot, "#cursor-lines")
        assert "from behind: row 2, 4th from left" in text_of(pilot, "#cursor-lines")
        assert everything(pilot).splitlines()[3].split() == [
            "C4", "C3", "C2", "C1",
        ]  # fmt: skip


async def test_a_move_repaints_only_the_rows_of_the_two_cabinets(
    logbook: Logbook, job: OpenJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with running(logbook, job) as pilot:
        await pilot.press("f4")
        await pilot.pause()
        painted: list[int] = []
        paint = WallMap._painted

        def counting(self: WallMap, row: int) -> object:
            painted.append(row)
            return paint(self, row)

        monkeypatch.setattr(WallMap, "_painted", counting)
        await pilot.press("right")
        await pilot.pause()
        shown = pilot.app.screen.query_one(WallMap)
        assert shown._plan is not None
        box = shown._plan.boxes[Cell(1, 2)]
        assert sorted(painted) == list(range(box.top, box.top + box.height))


async def test_jumping_by_position(logbook: Logbook, ready: OpenJob) -> None:
    wanted = {"R2C3": "R2C3", "2 2": "R2C2", "1.3": "R1C3", "P1.5": "R2C4", "x150 y20": "R1C2"}
    async with running(logbook, ready) as pilot:
        await pilot.press("f4")
        for typed, cell in wanted.items():
            await pilot.press("slash")
            await put(pilot, "#field-position", typed)
            await pilot.press("enter")
            await pilot.pause()
            assert f" {cell} " in text_of(pilot, "#cursor-lines")


async def test_typing_a_position_jumps_and_a_wrong_one_says_so(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", *"r2c3", "enter")
        await pilot.pause()
        assert " R2C3 " in text_of(pilot, "#cursor-lines")
        await pilot.press(*"r9c9", "enter")
        await pilot.pause()
        assert "expected a cabinet of this wall" in text_of(pilot, "#form-error")


async def test_layers_say_chain_circuit_luminance_and_faults(
    logbook: Logbook, ready: OpenJob
) -> None:
    ready.fault("cabinet dark", "R1C2", "stop")
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", "2")
        await pilot.pause()
        row = everything(pilot).splitlines()[4]
        assert row.count("→") == 3
        assert row.count("↓") == 1
        await pilot.press("3")
        assert "A LP1" in text_of(pilot, "#legend")
        await pilot.press("4")
        assert "cd/m2" in text_of(pilot, "#legend")
        await pilot.press("5")
        await pilot.pause()
        assert "▲ open" in text_of(pilot, "#legend")
        assert "▲1" in everything(pilot).splitlines()[4]


async def test_a_cabinet_opens_and_takes_a_fault_at_a_module(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", "right", "enter", "down", "right", "m")
        await put(pilot, "#field-kind", "module dark")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "m2,2▲" in text_of(pilot, "#modules")
        assert "module dark" in text_of(pilot, "#cabinet-lines")
        assert "row 1, 3rd from left" in text_of(pilot, "#cabinet-lines")
    assert ready.state.faults[0].found.body.location == "R1C2 m2,2"


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
        assert "who of the client" in text_of(pilot, "#form-error")
        await put(pilot, "#field-accepted_by", "M. Hollis")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "by M. Hollis of the client" in text_of(pilot, "#history-text")
        await pilot.press("down", "v")
        await pilot.press("enter")
        await pilot.pause()
        assert "it is open, expected" in text_of(pilot, "#form-error")
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
        assert " R2C2 " in text_of(pilot, "#cursor-lines")


async def test_signing_names_the_record_as_it_stands(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f8")
        await pilot.pause()
        assert "client: not signed" in text_of(pilot, "#handover-right")
        assert "signature of the client" in text_of(pilot, "#handover-left")
        await pilot.press("s", "2", "enter", *"Marit", "enter", "enter")
        await pilot.pause()
        assert "client: Marit" in text_of(pilot, "#handover-right")
    (signature,) = ready.state.signatures
    assert signature.body.role == "client"
    assert signature.body.exceptions == 4
    assert signature.body.fingerprint == record_fingerprint(ready)


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
    logbook: Logbook, ready: OpenJob, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(*_args: object, **_more: object) -> list[Path]:
        raise DocumentError(f"{tmp_path}: cannot be written: disk full; nothing written")

    monkeypatch.setattr(handover_screen, "export", refused)
    async with running(logbook, ready, export_dir=tmp_path) as pilot:
        await pilot.press("f8", "e")
        await put(pilot, "#field-formats", "docx")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "found 'docx'" in text_of(pilot, "#form-error")
        await put(pilot, "#field-formats", "pdf")
        await pilot.press("ctrl+s")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert "disk full; nothing written" in text_of(pilot, "#export-line")
        assert "Export" in everything(pilot).splitlines()[-1]


async def test_an_export_can_be_stopped(
    logbook: Logbook, ready: OpenJob, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import threading

    begun, go_on = threading.Event(), threading.Event()

    def slow(_job: OpenJob, _folder: Path, _formats: object, on_progress: object) -> list[Path]:
        begun.set()
        go_on.wait(5)
        on_progress("making pdf")  # type: ignore[operator]
        raise AssertionError("a stopped export must not go on")

    monkeypatch.setattr(handover_screen, "export", slow)
    async with running(logbook, ready, export_dir=tmp_path) as pilot:
        await pilot.press("f8", "e", "ctrl+s")
        assert begun.wait(5)
        await pilot.pause()
        assert "Stop" in everything(pilot).splitlines()[-1]
        await pilot.press("x")
        go_on.set()
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert "stopped; nothing was written" in text_of(pilot, "#export-line")
    assert list(tmp_path.glob("*.pdf")) == []


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
