"""Handover: the draft's pages on the screen and outside, and signing the file with a key."""

from __future__ import annotations

import asyncio
import json
import re
from datetime import date
from pathlib import Path

import pytest
from textual import events
from textual.pilot import Pilot
from textual.worker import Worker

from commission_tui.handover.progress_steps import FORMATS
from commission_tui.handover.record import record_fingerprint
from commission_tui.handover.signing import keys
from commission_tui.handover.signing.keys import new_key
from commission_tui.handover.verify.verification import verify_file
from commission_tui.logbook.entries.models import Note
from commission_tui.logbook.logbook import Logbook, OpenJob, body
from commission_tui.logbook.state.fault_steps import AsItIs
from commission_tui.progress import StoppedError
from commission_tui.screens.handover import key_signing, page_preview
from commission_tui.screens.handover.screen import HandoverScreen
from commission_tui.screens.handover.signature_pad import Pad
from commission_tui.screens.shared import picture_dialog
from commission_tui.screens.shared.picture_dialog import PictureBox
from commission_tui.screens.terminal.picture_view import (
    cells_of,
    open_picture,
    size_to_fit,
    size_to_width,
    without_margins,
)
from commission_tui.screens.widgets.plain_input import PlainInput
from commission_tui.subprocess_job import Step
from tests.handover.helping import export, gone_by_itself, is_alive
from tests.screens import answers
from tests.screens.helping import app_of, everything, put, running, text_of, told, until

PASSPHRASE = "eleven grey cabinets stand here"  # noqa: S105 (of a key made here)


async def test_the_pages_are_shown_one_after_the_other_and_closer(
    logbook: Logbook, ready: OpenJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    launched: list[list[str]] = []
    monkeypatch.setattr(picture_dialog, "_viewer", lambda: ["viewer"])
    monkeypatch.setattr(picture_dialog, "_launch", launched.append)
    async with running(logbook, ready, size=(120, 40)) as pilot:
        await pilot.press("f8", "p")
        await pilot.pause()
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        box = pilot.app.screen.query_one(PictureBox)
        assert text_of(pilot, ".box-title").startswith("Page 1   1 of ")
        assert 0 < box.virtual_size.width < 60
        assert box.max_scroll_y == 0
        await pilot.press("pagedown")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert text_of(pilot, ".box-title").startswith("Page 2   2 of ")
        await pilot.press("z")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert box.virtual_size.width == box.size.width - 1  # beside the scroll bar
        assert "full width" in text_of(pilot, ".box-title")
        await pilot.press("pagedown")
        await pilot.pause()
        assert box.scroll_y > 0
        assert text_of(pilot, ".box-title").startswith("Page 2")
        await pilot.press("pageup", "pageup")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert text_of(pilot, ".box-title").startswith("Page 1")
        await pilot.press("o")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert "Opened outside: fellmoor-side-wall-draft.pdf" in text_of(pilot, "#picture-says")
    ((_, copy),) = launched
    assert Path(copy).read_bytes().startswith(b"%PDF")


@pytest.fixture
def endless(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let what is made for the screen never be done."""
    monkeypatch.setattr(page_preview, "WORK", answers.__name__)


async def begun(pilot: Pilot[None], selector: str) -> int:
    """Wait until endless work says so, and return the process that does it."""
    await until(pilot, lambda: "in process" in text_of(pilot, selector))
    said = text_of(pilot, selector)
    assert " 25% 2 of 4: gathering in process" in said
    assert "Esc stops" in said
    return int(said.partition("in process ")[2].partition(",")[0])


async def test_an_export_ends_at_once_and_no_key_waits_for_it(
    logbook: Logbook, ready: OpenJob, tmp_path: Path, endless: None
) -> None:
    async with running(logbook, ready, export_dir=tmp_path / "out", size=(100, 30)) as pilot:
        await pilot.press("f8", "e", "ctrl+s")
        number = await begun(pilot, "#export-line")
        await until(pilot, lambda: "x Stop" in everything(pilot).splitlines()[-1])
        assert "e Export" not in everything(pilot).splitlines()[-1]
        await pilot.press("f3", "f8", "s")
        await put(pilot, "#field-name", "R. Fell")
        await pilot.press("escape")
        assert is_alive(number)
        await until(
            pilot, lambda: bool(re.search(r" [1-9]\d* s\b", text_of(pilot, "#export-line")))
        )
        await pilot.press("escape")
        await until(pilot, lambda: "stopped" in text_of(pilot, "#export-line"))
        assert text_of(pilot, "#export-line") == "stopped; nothing was written"
        assert not is_alive(number)
        assert isinstance(pilot.app.screen, HandoverScreen)
        await until(pilot, lambda: "e Export" in everything(pilot).splitlines()[-1])
        await pilot.press("escape")
        await pilot.pause()
        assert not isinstance(pilot.app.screen, HandoverScreen)
    assert not (tmp_path / "out").exists()


async def test_no_process_outlives_the_job_or_the_program(
    logbook: Logbook, ready: OpenJob, tmp_path: Path, endless: None
) -> None:
    async with running(logbook, ready, export_dir=tmp_path / "out") as pilot:
        await pilot.press("f8", "e", "ctrl+s")
        number = await begun(pilot, "#export-line")
        await pilot.press("f2", "escape")
        await pilot.pause()
        assert "Writing was stopped; nothing was written" in told(pilot)
        await until(pilot, lambda: not is_alive(number))
        await pilot.press("enter", "f8", "e", "ctrl+s")
        number = await begun(pilot, "#export-line")
        assert is_alive(number)
    gone_by_itself(number)
    assert not (tmp_path / "out").exists()


async def test_leaving_the_pages_ends_them_and_a_refusal_is_one_line(
    logbook: Logbook, ready: OpenJob, monkeypatch: pytest.MonkeyPatch, endless: None
) -> None:
    async with running(logbook, ready, size=(100, 30)) as pilot:
        await pilot.press("f8", "p")
        number = await begun(pilot, "#picture-says")
        await pilot.press("o", "z", "pagedown")  # there is nothing yet to turn or open
        await pilot.press("escape")
        await until(pilot, lambda: not is_alive(number))
        assert isinstance(pilot.app.screen, HandoverScreen)
        monkeypatch.setenv(answers.REFUSED, "1")
        await pilot.press("p")
        await until(pilot, lambda: "the typesetter refused it" in text_of(pilot, "#picture-says"))


async def test_without_a_key_one_is_made_here_and_says_what_it_is_worth(
    logbook: Logbook, ready: OpenJob, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(keys, "user_data_path", lambda _: tmp_path / "data")
    (document,) = export(ready, tmp_path / "out", ("pdf",))
    async with running(logbook, ready, size=(80, 24), export_dir=tmp_path / "out") as pilot:
        await pilot.press("f8", "f")
        await pilot.pause()
        said = " ".join(everything(pilot).split())
        assert "A self-signed key: nobody else vouches that it is yours." in said
        assert "Kept in" in said
        await put(pilot, "#field-name", "R. Fell")
        await put(pilot, "#field-passphrase", "short")
        await pilot.press("ctrl+s")
        assert "expected at least 8" in text_of(pilot, "#form-error")
        await put(pilot, "#field-passphrase", "abcdabcd")
        await pilot.press("ctrl+s")
        said = " ".join(text_of(pilot, "#form-error").split())
        assert said.startswith("passphrase: weak: ")
        assert said.endswith("Enter again takes it")
        await put(pilot, "#field-passphrase", PASSPHRASE)
        await put(pilot, "#field-again", PASSPHRASE.upper())
        await pilot.press("ctrl+s")
        assert "the two differ" in text_of(pilot, "#form-error")
        assert PASSPHRASE not in everything(pilot)
        await put(pilot, "#field-again", PASSPHRASE)
        await pilot.press("ctrl+s")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        said = text_of(pilot, "#export-line")
        made = tmp_path / "data" / "keys" / "r-fell.p12"
        digest = keys.certificate_sha256(keys.read_key(made, PASSPHRASE).certificate)
        assert f"Kept as {made}" in said
        assert digest in said
        await pilot.press("n")
        await put(pilot, "#field-name", "R. Fell")
        await put(pilot, "#field-passphrase", PASSPHRASE)
        await put(pilot, "#field-again", PASSPHRASE)
        await pilot.press("ctrl+s")
        assert "is there already; nothing was written over" in text_of(pilot, "#form-error")
        await pilot.press("escape", "f")
        await pilot.pause()
        await put(pilot, "#field-role", "1")
        await put(pilot, "#field-name", "R. Fell")
        await put(pilot, "#field-passphrase", PASSPHRASE)
        await pilot.press("ctrl+s")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert "Signed by R. Fell" in text_of(pilot, "#export-line")
        await pilot.press("v", "ctrl+s")
        await pilot.pause()
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        said = text_of(pilot, "#verify-text")
        assert said.startswith("● Holds: intact and signed with a key")
        assert digest in said
        assert f"{ready.database} has the same entries" in said
        await pilot.press("escape", "v")
        await put(pilot, "#field-file", str(made))
        await pilot.press("ctrl+s")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert "expected a document" in text_of(pilot, "#verify-text")
    assert document.is_file()


async def test_a_passphrase_typed_ahead_of_the_form_for_a_key_shows_nowhere(
    logbook: Logbook, ready: OpenJob, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(keys, "user_data_path", lambda _: tmp_path / "data")
    async with running(logbook, ready) as pilot:
        await pilot.press("f8")
        for key in ("n", *PASSPHRASE, "enter", *PASSPHRASE[:-1], "enter", *PASSPHRASE):
            pilot.app.post_message(events.Key(key, key if len(key) == 1 else None))
        says = f"Waits for your answer above, not shown: {len(PASSPHRASE)} keys typed on"
        await until(pilot, lambda: says in everything(pilot))
        assert "the two differ" in text_of(pilot, "#form-error")
        shown = [f.value for f in pilot.app.screen.query(PlainInput) if not f.password]
        assert shown == [ready.by, ready.state.title.integrator]
        assert PASSPHRASE not in everything(pilot)
        typed = ["space" if letter == " " else letter for letter in PASSPHRASE]
        await pilot.press("escape", *typed, "enter", *typed, "enter")  # both replace what stands
        await pilot.app.workers.wait_for_complete()
        assert "Key made" in text_of(pilot, "#export-line")


async def test_what_waits_behind_two_passphrases_that_differ_goes_into_no_line(
    logbook: Logbook, ready: OpenJob, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(keys, "user_data_path", lambda _: tmp_path / "data")
    async with running(logbook, ready) as pilot:
        await pilot.press("f8")
        for key in ("n", *PASSPHRASE, "enter", *PASSPHRASE[:-1], "enter", "q"):
            pilot.app.post_message(events.Key(key, key if len(key) == 1 else None))
        await until(pilot, lambda: "not shown: 1 key typed on" in everything(pilot))
        typed = ["space" if letter == " " else letter for letter in PASSPHRASE]
        await pilot.press(*typed, "enter")
        again = pilot.app.screen.query_one("#field-again", PlainInput)
        assert again.value == PASSPHRASE[:-1]
        assert any("Not taken" in line for line in told(pilot))
        await pilot.press(*typed, "enter")
        await pilot.app.workers.wait_for_complete()
        assert "Key made" in text_of(pilot, "#export-line")


async def test_tabs_before_a_passphrase_do_not_go_round_to_a_field_that_shows_it(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f8", "n", "tab", "tab", "tab", *"secret")
        field = pilot.app.focused
        assert isinstance(field, PlainInput)
        assert (field.id, field.password) == ("field-again", True)


async def test_who_has_a_key_elsewhere_signs_with_it(
    logbook: Logbook, ready: OpenJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(key_signing, "known_keys", list)
    async with running(logbook, ready) as pilot:
        await pilot.press("f8", "f", "escape")
        await pilot.pause()
        assert "the path of a .p12 file" in text_of(pilot, "#label-key")


def test_signing_can_be_stopped_until_it_is_written(ready: OpenJob, tmp_path: Path) -> None:
    made = new_key(tmp_path / "a.p12", PASSPHRASE, name="R. Fell")
    (document,) = export(ready, tmp_path / "out", ("pdf",))
    unsigned = document.read_bytes()
    asked = key_signing.SigningRequest(
        document, made.key, "integrator", "R. Fell", "", "Taken.", PASSPHRASE
    )
    seen: list[Step] = []

    def stop_at_last(step: Step) -> None:
        seen.append(step)
        if step.number == step.count:
            raise StoppedError

    with pytest.raises(StoppedError):
        key_signing.sign(ready.database, ready.id, ready.by, asked, stop_at_last)
    assert [(step.number, step.count) for step in seen] == [(1, 3), (2, 3), (3, 3)]
    assert document.read_bytes() == unsigned
    ready.refresh()
    assert not ready.state.signatures


async def test_the_file_is_signed_with_a_key_and_the_passphrase_kept_nowhere(
    logbook: Logbook, ready: OpenJob, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = new_key(tmp_path / "keys" / "r-fell.p12", PASSPHRASE, name="R. Fell")
    monkeypatch.setattr(key_signing, "known_keys", lambda: [made.key])
    described: list[str] = []
    plain_init = Worker.__init__

    def noted(self: Worker[object], *args: object, **more: object) -> None:
        plain_init(self, *args, **more)  # type: ignore[arg-type]
        described.append(f"{self.description} {self!r}")

    monkeypatch.setattr(Worker, "__init__", noted)
    (document,) = export(ready, tmp_path / "out", ("pdf",))
    unsigned = document.read_bytes()
    async with running(logbook, ready, size=(80, 24), export_dir=tmp_path / "out") as pilot:
        await pilot.press("f8", "f")
        await pilot.pause()
        assert "1 r-fell" in text_of(pilot, "#label-key")
        await put(pilot, "#field-role", "1")
        await put(pilot, "#field-name", "R. Fell, Tarn & Fell Integration")
        await put(pilot, "#field-passphrase", "not this one")
        assert "not this one" not in everything(pilot)
        await pilot.press("ctrl+s")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert "the passphrase does not fit" in text_of(pilot, "#export-line")
        assert document.read_bytes() == unsigned
        await pilot.press("f")
        await put(pilot, "#field-passphrase", PASSPHRASE)
        await pilot.press("escape", "f")
        await pilot.pause()
        fields = {field.id: field.value for field in pilot.app.screen.query(PlainInput)}
        assert fields == {
            "field-file": str(document),
            "field-key": "1",
            "field-passphrase": "",
            "field-role": "integrator",
            "field-name": "R. Fell, Tarn & Fell Integration",
            "field-statement": "",
        }
        await put(pilot, "#field-passphrase", PASSPHRASE)
        await pilot.press("ctrl+s")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert "Signed by R. Fell" in text_of(pilot, "#export-line")
        assert PASSPHRASE not in str(app_of(pilot).drafts)
    assert any("Signing" in line for line in described)
    assert not any(PASSPHRASE in line for line in described)
    found = await asyncio.to_thread(verify_file, document)
    assert found.holds
    assert [one.name for one in found.signatures] == ["R. Fell, Tarn & Fell Integration"]
    (signature,) = ready.state.signatures
    assert signature.body.role == "integrator"
    assert PASSPHRASE.encode() not in ready.database.read_bytes()


def test_a_page_keeps_its_shape_and_the_paper_takes_the_tint(ready: OpenJob) -> None:
    from tests.handover.helping import page_pictures

    first = open_picture(page_pictures(ready, draft=True)[0])
    size = first.size
    assert 0.6 < without_margins(first).width / first.width < 0.95
    # A cell is twice as high as wide, so A4 (210 x 297) fills 1.41 / 2 rows a column.
    columns, rows = size_to_fit(size, (118, 36))
    assert rows == 36
    assert rows * 2 / columns == pytest.approx(297 / 210, rel=0.02)
    assert size_to_width(size, 100) == (100, round(100 * size[1] / size[0] / 2))
    cells = cells_of(first, (columns, rows), tint=(200, 120, 70))
    assert all(sum(len(text) for text, _, _ in row) == columns for row in cells.rows)
    red, green, blue = (int(cells.rows[0][0][2][i : i + 2], 16) for i in (1, 3, 5))
    assert (red, green, blue) == (200, 120, 70)


async def take_all(pilot: Pilot[None]) -> None:
    """Take every exception at once in words, and go on to sign."""
    await pilot.pause()
    assert "4 exceptions, 4 to take before" in text_of(pilot, ".box-title")
    await pilot.press(*"that", "enter")
    await pilot.pause()
    await put(pilot, "#field-owner", "1")
    await put(pilot, "#field-words", "M. H.")
    await pilot.press("ctrl+s")
    await pilot.pause()
    assert "4 exceptions, 0 to take before" in text_of(pilot, ".box-title")
    await pilot.press("enter")
    await pilot.pause()


async def test_a_client_who_stops_at_the_exceptions_signs_nothing(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f8", "s", "2", "enter", *"Marit", "enter", "enter", "enter")
        await pilot.pause()
        await pilot.press("enter", "escape", "escape")
        await pilot.pause()
    assert not ready.state.signatures


async def fields_of(pilot: Pilot[None]) -> dict[str, str]:
    """Return what stands in the form on the screen."""
    await pilot.pause()
    return {
        str(field.id).removeprefix("field-"): field.value
        for field in pilot.app.screen.query(PlainInput)
    }


async def test_what_a_client_typed_and_took_is_there_after_esc_and_after_a_crash(
    logbook: Logbook, ready: OpenJob
) -> None:
    """A hundred exceptions are an evening's work of two people; signed, nothing of it is kept."""
    typed = {"role": "client", "name": "Marit", "organisation": "Council", "statement": "Seen."}
    async with running(logbook, ready) as pilot:
        await pilot.press("f8", "s")
        for name, value in typed.items():
            await put(pilot, f"#field-{name}", value)
        await pilot.press("ctrl+s")
        await pilot.pause()
        await pilot.press("down", "enter")
        await pilot.pause()
        await put(pilot, "#field-owner", "1")
        await put(pilot, "#field-words", "M. H.")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "4 exceptions, 3 to take before" in text_of(pilot, ".box-title")
        app_of(pilot).keep_unfinished()  # as the clock does
        await pilot.press("escape")
        await pilot.pause()
        assert told(pilot)[-1] == "Not signed by Marit; what was typed and taken is kept"
        await pilot.press("s")
        assert await fields_of(pilot) == typed
        said = " ".join(text_of(pilot, ".box-notes").split())
        assert "Kept and not signed: what was typed here and 1 exception taken" in said
        app_of(pilot).keep_unfinished()  # and nothing more: it crashes
    async with running(logbook, ready) as pilot:
        await pilot.press("f8", "s")
        assert await fields_of(pilot) == typed
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "4 exceptions, 3 to take before" in text_of(pilot, ".box-title")
        await pilot.press(*"that", "enter")
        await pilot.pause()
        await put(pilot, "#field-owner", "1")
        await put(pilot, "#field-words", "M. H.")
        await pilot.press("ctrl+s")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        assert "client: Marit" in text_of(pilot, "#handover-right")
        assert "Marit" not in str(app_of(pilot).drafts)
        assert "M. H." not in str(app_of(pilot).drafts)
    (signature,) = ready.state.signatures
    assert signature.body.name == "Marit"
    assert len(signature.body.taken or ()) == 4


async def test_the_list_of_exceptions_begins_at_its_first_line_and_a_sentence_is_no_owner_unasked(
    logbook: Logbook, ready: OpenJob
) -> None:
    ready.fault("pixel dark", "R1C1 x1 y1", "near")
    (fault,) = ready.state.faults
    taken = AsItIs("M. H.", "The house", date(2099, 1, 1))
    ready.work(fault, "accepted", taken=taken)
    async with running(logbook, ready) as pilot:
        await pilot.press("f8", "s", "2", "enter", *"Marit", "enter", "enter", "enter")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        assert text_of(pilot, ".box-title").startswith("Take all 4 as they are")
        await pilot.press(*"We take these as they are.", "enter")
        await pilot.pause()
        assert "reads as more than a name: Enter again" in text_of(pilot, "#form-error")
        await pilot.press(*"Fell & Tarn Integration", "enter")
        await pilot.pause()
        assert pilot.app.screen.query_one("#field-due").has_focus


async def test_exceptions_pasted_at_once_are_taken_one_after_the_other(
    logbook: Logbook, ready: OpenJob
) -> None:
    lines = "Tarn & Fell\n2099-07-01\nM. H.\nThe house\n2099-08-01\nM. Hollis\n"
    async with running(logbook, ready) as pilot:
        await pilot.press("f8", "s", "2", "enter", *"Marit", "enter", "enter", "enter")
        await pilot.pause()
        await pilot.press("down", "enter")
        await pilot.pause()
        app_of(pilot).post_message(events.Paste(lines))
        await until(pilot, lambda: "4 exceptions, 3 to take before" in text_of(pilot, ".box-title"))
        await until(pilot, lambda: any("waits: The house Enter" in line for line in told(pilot)))
        await pilot.press("enter")
        await until(pilot, lambda: "4 exceptions, 2 to take before" in text_of(pilot, ".box-title"))
        taken = everything(pilot)
    assert "The house, 2099-08-01; M. Hollis" in taken


async def test_the_enter_that_chooses_the_next_exception_does_not_leave_its_first_line(
    logbook: Logbook, ready: OpenJob
) -> None:
    """Three in one burst: `1` is who puts it right each time, and no date."""
    async with running(logbook, ready) as pilot:
        await pilot.press("f8", "s", "2", "enter", *"Marit", "enter", "enter", "enter")
        await pilot.pause()
        await pilot.press("down", "enter")
        await pilot.pause()
        for key in (*"1", "enter", "enter", *"I.T.", "enter", "enter") * 3:
            app_of(pilot).post_message(events.Key(key, key if len(key) == 1 else None))
        for left in (3, 2, 1):
            title = f"4 exceptions, {left} to take before"
            await until(pilot, lambda title=title: title in text_of(pilot, ".box-title"), 10)  # type: ignore[misc]
            await until(pilot, lambda: not app_of(pilot).takes_keys)
            if left > 1:
                await pilot.press("enter")
        kept = app_of(pilot).drafts.items()
    owner = ready.state.title.integrator
    taken = [(said["owner"], said["words"]) for name, said in kept if name.startswith("consent")]
    assert taken == [(owner, "I.T.")] * 3


async def test_the_integrator_who_signs_first_leaves_what_the_client_took(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f8", "s", "2", "enter", *"Marit", "enter", "enter", "enter")
        await pilot.pause()
        await pilot.press("down", "enter")
        await pilot.pause()
        await put(pilot, "#field-owner", "1")
        await put(pilot, "#field-words", "M. H.")
        await pilot.press("ctrl+s")
        await pilot.pause()
        await pilot.press("escape")
        await pilot.pause()
        await pilot.press("s")
        await put(pilot, "#field-role", "integrator")
        await put(pilot, "#field-name", "Odo")
        await pilot.press("ctrl+s")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("s", "2", "enter", *"Marit", "enter", "enter", "enter")
        await pilot.pause()
        assert "4 exceptions, 3 to take before" in text_of(pilot, ".box-title")
    (signature,) = ready.state.signatures
    assert signature.body.name == "Odo"


async def test_a_client_refuses_with_a_reason(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f8", "s")
        await pilot.pause()
        await put(pilot, "#field-role", "client")
        await put(pilot, "#field-name", "Marit")
        await put(pilot, "#field-statement", "Refused: too dark")
        await pilot.press("ctrl+s")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        assert "The handover: refused" in text_of(pilot, "#handover-left")
    assert ready.acceptance().state == "refused"


async def test_signing_names_the_record_as_it_stands(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f8")
        await pilot.pause()
        assert "client: not signed" in text_of(pilot, "#handover-right")
        assert "signature of the client" in text_of(pilot, "#handover-left")
        await pilot.press("s", "2", "enter", *"Marit", "enter", "enter", "enter")
        await take_all(pilot)
        await pilot.press("enter")
        await pilot.pause()
        assert "client: Marit" in text_of(pilot, "#handover-right")
    (signature,) = ready.state.signatures
    assert signature.body.role == "client"
    assert signature.body.exceptions == 4
    assert [one.consent for one in signature.body.taken or ()] == ["M. H."] * 4
    assert ready.acceptance().state == "accepted with exceptions"
    assert signature.body.fingerprint == record_fingerprint(ready)


async def test_who_types_on_before_the_pad_signs_nothing_and_esc_does_not_sign(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f8", "s", "1", "enter", *"Odo", "enter", "enter", "enter")
        await pilot.pause()
        await pilot.press("s", "2", "enter")
        await pilot.pause()
        assert not ready.state.signatures
        assert "Not signed, nothing is typed here: 's2'" in text_of(pilot, ".box-notes")
        await pilot.press("escape")
        await pilot.pause()
        assert told(pilot)[-1] == "Not signed by Odo; what was typed is kept"
        assert not ready.state.signatures
        await pilot.press("s", "enter", "enter", "enter", "enter")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
    (signature,) = ready.state.signatures
    assert signature.body.strokes is None


async def test_an_enter_that_came_before_the_pad_was_seen_does_not_sign(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:

        async def burst(*keys: str) -> None:
            for key in keys:
                app_of(pilot).post_message(events.Key(key, key if len(key) == 1 else None))
            await until(pilot, lambda: "Typed on, and waits" in everything(pilot))
            await until(pilot, lambda: not app_of(pilot).takes_keys)

        await pilot.press("f8", "s", "1", "enter", *"Odo", "enter", "enter")
        await pilot.pause()
        await burst("enter", "enter")
        assert text_of(pilot, ".box-title") == "Odo signs"
        assert not ready.state.signatures
        await pilot.press("escape")
        await pilot.pause()
        assert text_of(pilot, ".box-title") == "Odo signs"
        await burst(*"xyz", "enter", "enter")
        assert "Not signed, nothing is typed here: 'xyz'" in text_of(pilot, ".box-notes")
        assert not ready.state.signatures
        await pilot.press("enter")
        await pilot.pause()
    assert [one.body.name for one in ready.state.signatures] == ["Odo"]


async def test_a_signature_is_drawn_with_the_mouse_and_kept_as_strokes(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f8", "s", "2", "enter", *"Marit", "enter", "enter", "enter")
        await take_all(pilot)
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


@pytest.mark.parametrize("is_other_program", [True, False])
async def test_what_changed_behind_a_signature_is_not_signed(
    logbook: Logbook, ready: OpenJob, is_other_program: bool
) -> None:
    other = Logbook(logbook.path)
    changed = other.open(ready.id, "B. Technician") if is_other_program else ready
    async with running(logbook, ready) as pilot:
        await pilot.press("f8", "s")
        changed.skip("kept", "no spares")
        await put(pilot, "#field-role", "client")
        await put(pilot, "#field-name", "Marit Hollis")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "has changed meanwhile" in text_of(pilot, "#form-error")
    assert not ready.state.signatures
    other.close()


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


async def test_after_a_restart_the_file_to_sign_is_where_it_was_written(
    logbook: Logbook, ready: OpenJob, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It was looked for where the program was started, and missed only after the last line of the form."""
    made = new_key(tmp_path / "keys" / "r-fell.p12", PASSPHRASE, name="R. Fell")
    monkeypatch.setattr(key_signing, "known_keys", lambda: [made.key])
    started = tmp_path / "started"
    async with running(logbook, ready, export_dir=started) as pilot:
        await pilot.press("f8", "f")
        await pilot.pause()
        assert "fellmoor-side-wall.pdf is not there yet" in text_of(pilot, ".box-notes")
        typed = ["space" if letter == " " else letter for letter in PASSPHRASE]
        await pilot.press(*typed, "enter")
        assert text_of(pilot, "#form-error").startswith("file: no such file")
        await pilot.press("escape", "e")
        await put(pilot, "#field-formats", "pdf")
        await put(pilot, "#field-folder", str(tmp_path / "out"))
        await pilot.press("ctrl+s")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        await pilot.press("ctrl+q")
    async with running(logbook, ready, export_dir=started) as pilot:
        await pilot.press("f8")
        await pilot.pause()
        assert str(tmp_path / "out") in "".join(text_of(pilot, "#export-line").split("\n"))
        await pilot.press("f")
        file = (await fields_of(pilot))["file"]
        assert Path(file) == tmp_path / "out" / "fellmoor-side-wall.pdf"
        assert "not there yet" not in text_of(pilot, ".box-notes")
        await pilot.press(*typed, "enter")
        await pilot.pause()
        assert text_of(pilot, "#form-error") == ""
        assert PASSPHRASE not in str(app_of(pilot).drafts)


async def test_an_export_leaves_the_signed_file_and_a_supplement_has_a_name_of_its_own(
    logbook: Logbook, ready: OpenJob, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = new_key(tmp_path / "r-fell.p12", PASSPHRASE, name="R. Fell")
    monkeypatch.setattr(key_signing, "known_keys", lambda: [made.key])
    (document,) = export(ready, tmp_path / "out", ("pdf",))
    asked = key_signing.SigningRequest(
        document, made.key, "integrator", "R. Fell", "", "Taken.", PASSPHRASE
    )
    whose = ready.database, ready.id, ready.by
    await asyncio.to_thread(key_signing.sign, *whose, asked, lambda _: None)
    signed = document.read_bytes()
    async with running(logbook, ready, export_dir=tmp_path / "out", size=(80, 24)) as pilot:

        async def exported() -> str:
            await pilot.press("f8", "e")
            await put(pilot, "#field-formats", "json pdf")
            await pilot.press("ctrl+s")
            await pilot.app.workers.wait_for_complete()
            await pilot.pause()
            return "".join(text_of(pilot, "#export-line").split())

        assert f"{document.name}: bears signatures and stays".replace(" ", "") in await exported()
        assert [*document.parent.iterdir()] == [document]
        ready.refresh()
        ready.record(body(Note, text="found later"))
        assert "fellmoor-side-wall-supplement-1.pdf" in await exported()
        await pilot.press("f")
        await pilot.pause()
        file = pilot.app.screen.query_one("#field-file", PlainInput).value
        assert Path(file).name == "fellmoor-side-wall-supplement-1.pdf"
    assert document.read_bytes() == signed
    assert sorted(path.name for path in document.parent.iterdir()) == [
        "fellmoor-side-wall-supplement-1.json",
        "fellmoor-side-wall-supplement-1.pdf",
        "fellmoor-side-wall.pdf",
    ]


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


async def test_the_formats_come_first_and_are_all_seen_in_a_small_terminal(
    logbook: Logbook, ready: OpenJob, tmp_path: Path
) -> None:
    async with running(logbook, ready, export_dir=tmp_path / "out", size=(80, 24)) as pilot:
        await pilot.press("f8", "e")
        await pilot.pause()
        assert pilot.app.screen.query_one("#field-formats").has_focus
        shown = everything(pilot).split()
        assert [form for form in FORMATS if form not in shown] == []
