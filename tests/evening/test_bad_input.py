"""What is typed wrong in an evening: said in a line, nothing logged, nothing lost."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

from commission_tui.checks.model.input_parsing import typed_value
from commission_tui.cli import run
from commission_tui.errors import InputError
from commission_tui.handover.verify.parse_document import read_back
from commission_tui.handover.verify.pdf_reading import read_file
from commission_tui.logbook.actions.taking_back import undo
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.widgets.plain_input import PlainInput
from tests.cases import case
from tests.handover.helping import export, export_json
from tests.screens.conftest import SMALL_CHECKLIST, SMALL_WALL
from tests.screens.helping import enter, everything, metered, put, running, text_of
from tests.screens.host.bursts import paste
from tests.screens.host.test_bursts import player

NO_NUMBERS = (
    *("nan", "NaN", "-nan", "inf", "-inf", "Infinity", "1e999", "-1e999", "0x1F", "1_000"),
    *("8o1", "801..5", "8.0.1", "801;5", "--801", "+-801", "1/0", "0/0", "801/", "/801"),
    *("\U0001f3a5", "801\U0001f4a1", "\u0661\u0662", "\uff18\uff10\uff11", "\u05e9\u05dc\u05d5\u05dd"),
    *("\u202e801", "801\u200b", "801\u2066", "e\u0301", "[bold]801[/]", "'; drop table entry; --"),
    *("-801", "0", "1e9", "801 kg", "801 lx", "y", "no", "point 1", "\u221e"),
)  # fmt: skip


@pytest.fixture
def unmetered(logbook: Logbook) -> OpenJob:
    return logbook.create(
        by="A. Technician",
        name="Evening",
        client="Fellmoor Council",
        integrator="Tarn & Fell Integration",
        wall_text=SMALL_WALL,
        checklist_files={"small.toml": SMALL_CHECKLIST},
    )


@pytest.fixture
def job(unmetered: OpenJob) -> OpenJob:
    return metered(unmetered)


def test_what_is_no_luminance_is_none(job: OpenJob) -> None:
    field = job.state.checklist.check("nine").field("luminance_cd_m2")

    def read(typed: str) -> None:
        value = typed_value(field, typed, job.state.wall, "point 1")
        job.read("nine", "luminance_cd_m2", "point 1", value)

    for typed in NO_NUMBERS:
        with case(typed), pytest.raises(InputError) as refused:
            read(typed)
        assert len(str(refused.value).splitlines()) == 1
    assert not job.state.readings


async def test_what_is_no_luminance_is_refused_in_a_line_and_stays_in_the_field(
    logbook: Logbook, job: OpenJob
) -> None:
    async with running(logbook, job) as pilot:
        await pilot.press("f3")
        taken = []
        for typed in NO_NUMBERS[::6]:
            await enter(pilot, typed)
            if job.state.readings:
                taken.append(typed)
                undo(job)
                continue
            assert text_of(pilot, "#message").strip(), typed
            await put(pilot, "#value", "")
            await pilot.press("escape") if pilot.app.screen.query("#value") else None
            await pilot.press("f3")
    assert taken == []


@pytest.mark.parametrize(
    ("typed", "value"), [("801,5", 801.5), (" 801 ", 801.0), ("8.015e2", 801.5), ("801 cd/m2", 801)]
)
async def test_what_people_type_for_a_number_is_one(
    logbook: Logbook, job: OpenJob, typed: str, value: float
) -> None:
    async with running(logbook, job) as pilot:
        await pilot.press("f3")
        await enter(pilot, typed)
        if not job.state.readings:
            await pilot.press("enter")
    latest = job.state.latest("nine", "luminance_cd_m2", "point 1")
    assert latest is not None
    assert latest.body.value == value


async def test_a_window_that_is_too_small_takes_nothing_and_loses_nothing(
    logbook: Logbook, job: OpenJob
) -> None:
    async with running(logbook, job, size=(80, 24)) as pilot:
        await pilot.press("f3", "8", "0", "1")
        await pilot.resize_terminal(60, 20)
        await pilot.press("enter", "enter")
        assert not job.state.readings
        assert "80" in everything(pilot)
        await pilot.resize_terminal(80, 24)
        await pilot.press("enter")
    assert job.state.latest("nine", "luminance_cd_m2", "point 1") is not None


async def test_keys_that_are_held_down_log_nothing_by_themselves(
    logbook: Logbook, job: OpenJob
) -> None:
    async with running(logbook, job) as pilot:
        await pilot.press("f3")
        for key in ("enter", "down", "up", "tab", "backspace", "ctrl+r", "ctrl+u"):
            await pilot.press(*[key] * 5)
            await pilot.press("escape", "f3")
        assert not job.state.readings
        await pilot.press("pageup", *["9"] * 320, "enter", "enter")
    assert not job.state.readings


@pytest.mark.parametrize("command", [("job", "list"), ("job", "show", "Evening"), ("backup", "x")])
@pytest.mark.parametrize("path", ["no/such/folder/l.db", ".", "file/l.db", "not.db"])
def test_a_database_that_cannot_be_is_an_error_not_an_empty_one(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], path: str, command: tuple[str, ...]
) -> None:
    (tmp_path / "file").write_text("a file", encoding="utf-8")
    (tmp_path / "not.db").write_text("no logbook " * 100, encoding="utf-8")
    assert run(["--database", str(tmp_path / path), "--as", "A. Technician", *command]) == 3
    said = capsys.readouterr()
    assert "no jobs yet" not in said.out + said.err
    assert len(said.err.splitlines()) == 1
    assert not (tmp_path / "no").exists()


@pytest.mark.parametrize("name", ["Evening", " evening ", "EVENING", "E\u202evening"])
def test_a_second_job_of_the_same_name_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    wall = tmp_path / "wall.toml"
    wall.write_text(SMALL_WALL, encoding="utf-8")
    words = ["--database", str(tmp_path / "l.db"), "--as", "A. Technician", "job", "new", str(wall)]
    firm = ["--client", "Fellmoor Council", "--integrator", "Tarn & Fell Integration"]
    assert run([*words, "--name", "Evening", *firm]) == 0
    capsys.readouterr()
    assert run([*words, "--name", name, *firm]) == 2
    said = capsys.readouterr()
    assert len(said.err.splitlines()) == 1
    assert said.err.startswith("name")


def test_a_wall_file_that_was_cut_is_told_in_lines_wherever_it_was_cut(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    wall = tmp_path / "wall.toml"
    for at in range(0, len(SMALL_WALL), 23):
        wall.write_text(SMALL_WALL[:at], encoding="utf-8")
        status = run(["wall", "review", str(wall)])
        said = capsys.readouterr()
        assert status in {0, 1, 2}
        assert "Traceback" not in said.err
        assert (status == 2) == bool(said.err)


@pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")
def test_what_joins_in_a_note_is_kept_from_the_keyboard_to_the_document(tmp_path: Path) -> None:
    """Typed as keys, and pasted: the same characters in the file, in JSON, and in the PDF's record."""
    word = "ask \U0001f469\U0001f3fd\u200d\U0001f527 \u0645\u06cc\u200c\u062e\u0648\u0627\u0645"
    with player(tmp_path) as one:
        one.slowly(["note", *word, "enter"])
        one.slowly(["note", paste(word), "enter"])
    book = Logbook(tmp_path / "logbook.db")
    (only,) = book.jobs()
    job = book.open(only.id, "A. Reader")
    (document,) = export(job, tmp_path)
    kept = [note.body.text for note in job.state.notes]
    bodies = [entry["body"] for entry in json.loads(export_json(job))["record"]["entries"]]
    written = [body["text"] for body in bodies if body["kind"] == "note"]
    book.close()
    entries = read_back(read_file(document), str(document)).entries
    printed = [entry.body.text for entry in entries if isinstance(entry.body, e.Note)]
    assert kept == written == printed == [word, word]


async def test_readings_pasted_before_there_is_a_meter_make_none(
    logbook: Logbook, unmetered: OpenJob
) -> None:
    async with running(logbook, unmetered) as pilot:
        await pilot.press("f3", *"801", "enter")
        await pilot.press(*"802", "enter", *"803", "enter")
        await pilot.pause()
        assert "waits: 802 Enter 803 Enter" in everything(pilot)
        await pilot.press(*"spot", "enter")
        assert pilot.app.screen.query_one("#field-name", PlainInput).value == "spot"
    assert not unmetered.state.instruments
    assert not unmetered.state.readings
