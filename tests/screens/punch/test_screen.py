"""Punch list: marks and bulk steps, first looks, photos attached and looked at."""

from __future__ import annotations

import io
import stat
from pathlib import Path

import pytest
from PIL import Image
from textual.widgets import Input

from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.photo.picture_to_keep import has_place
from commission_tui.screens.shared import picture_dialog
from commission_tui.screens.shared.photo_dialog import PhotoDialog, typed_path
from commission_tui.screens.shared.picture_dialog import PictureBox
from commission_tui.screens.widgets.lists import LineList
from tests.photo.test_picture_file import with_notes
from tests.screens.helping import caption_of, everything, put, running, text_of, told, until


def picture(path: Path, size: tuple[int, int] = (40, 20)) -> Path:
    """Write a photo: left half red, right half green."""
    made = Image.new("RGB", size, (200, 0, 0))
    made.paste((0, 200, 0), (size[0] // 2, 0, size[0], size[1]))
    made.save(path)
    return path


@pytest.fixture
def three(ready: OpenJob) -> OpenJob:
    for cell in ("R1C1", "R1C2", "R1C3"):
        ready.fault("cabinet dark", cell, "stop")
    ready.fault("something in own words", "R2C2", "note")
    return ready


async def test_marked_items_are_worked_on_together_and_the_others_named(
    logbook: Logbook, three: OpenJob
) -> None:
    three.work(three.state.faults[1], "mended")
    before = len(three.state.entries)
    async with running(logbook, three) as pilot:
        await pilot.press("f5", "space", "space", "space")
        await pilot.pause()
        assert text_of(pilot, "#summary").startswith("3 marked, 4 of 4 shown")
        await pilot.press("m")
        await pilot.pause()
        assert text_of(pilot, ".box-title") == "2 of 3 faults mended"
        assert "left alone, since mended: 2" in text_of(pilot, ".box-notes")
        await pilot.press(*"hub", "enter")
        await pilot.pause()
        # What was mended is looked at next.
        assert text_of(pilot, "#summary").startswith("3 marked, 4 of 4 shown")
        assert told(pilot)[-1] == "2 faults: mended, logged; left alone: 2; still marked, for v"
        await pilot.press("p")
        await pilot.pause()
        assert "of this one alone, not of the 3 marked" in text_of(pilot, ".box-notes")
        await pilot.press("escape", "v", "enter")
        await pilot.pause()
        assert "marked" not in text_of(pilot, "#summary")
        # All shown: what the filter leaves out stays as it is.
        await pilot.press("slash", *"dark", "enter", "t")
        await pilot.pause()
        assert text_of(pilot, "#summary").startswith("3 marked, 3 of 4 shown")
        await pilot.press("a")
        await pilot.pause()
        assert told(pilot)[-1] == "None of the 3 can be accepted: they are verified"
        await pilot.press("t")
        await pilot.pause()
        assert text_of(pilot, "#summary").startswith("3 of 4 shown")
    assert [f.state for f in three.state.faults] == ["verified"] * 3 + ["open"]
    assert len(three.state.entries) == before + 2 + 3


async def test_words_for_several_faults_are_there_when_one_of_them_is_unmarked(
    logbook: Logbook, three: OpenJob
) -> None:
    async with running(logbook, three) as pilot:
        await pilot.press("f5", "space", "space", "space", "m", *"hub exchanged", "escape")
        await pilot.press("home", "space", "m")
        await pilot.pause()
        assert text_of(pilot, ".box-title").startswith("2 of 2 faults mended")
        assert pilot.app.screen.query_one("#field-note", Input).value == "hub exchanged"


async def test_what_the_filter_hides_keeps_its_mark_and_is_not_worked_on(
    logbook: Logbook, three: OpenJob
) -> None:
    """Else faults are verified that nobody saw in the list; the cursor stops at its end."""
    async with running(logbook, three) as pilot:
        await pilot.press("f5", "space", "end", "space", "slash", *"words", "enter")
        await pilot.pause()
        assert text_of(pilot, "#summary").startswith("2 marked, 1 of them hidden, 1 of 4 shown")
        await pilot.press("a")
        await put(pilot, "#field-accepted_by", "M. Hollis")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert text_of(pilot, "#summary").startswith("1 marked, 1 of them hidden, 1 of 4 shown")
        await pilot.press("m")
        await pilot.pause()
        assert told(pilot)[-1] == "The filter hides the 1 marked fault: nothing was mended"
    assert [f.state for f in three.state.faults] == ["open", "open", "open", "accepted"]


async def test_a_mark_changes_its_line_and_lists_nothing_anew(
    logbook: Logbook, three: OpenJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Listing 2,000 anew at each mark is felt."""
    async with running(logbook, three) as pilot:
        await pilot.press("f5")
        await pilot.pause()
        anew: list[int] = []
        monkeypatch.setattr(LineList, "set_options", lambda *_: anew.append(1))
        before = everything(pilot).splitlines()
        await pilot.press("space")
        await pilot.pause()
        after = everything(pilot).splitlines()
        assert not anew
        changed = [n for n, pair in enumerate(zip(before, after, strict=True)) if len({*pair}) > 1]
        line = next(n for n, row in enumerate(before) if "R1C1" in row)
        assert line in changed
        assert [n for n in changed if line < n <= line + 3] == []
        three.work(three.state.faults[3], "mended")
        await pilot.pause()
        assert "mended" in everything(pilot).splitlines()[line + 3]
        assert not anew


async def test_an_open_fault_says_what_to_look_at_first(logbook: Logbook, three: OpenJob) -> None:
    async with running(logbook, three) as pilot:
        await pilot.press("f5")
        await pilot.pause()
        first = text_of(pilot, "#history-text")
        assert "Look first  1 " in first
        await pilot.press("m", "enter")
        await pilot.pause()
        assert "Look first" not in text_of(pilot, "#history-text")
        await pilot.press("end")
        await pilot.pause()
        assert "Look first" not in text_of(pilot, "#history-text")


async def test_a_long_history_is_scrolled_with_a_key(logbook: Logbook, three: OpenJob) -> None:
    fault = three.state.faults[0]
    for step in ("mended", "verified", "reopened") * 4:
        three.work(next(f for f in three.state.faults if f.id == fault.id), step, note="again")
    async with running(logbook, three) as pilot:
        await pilot.press("f5")
        await pilot.pause()
        history = pilot.app.screen.query_one("#history")
        assert history.max_scroll_y > 0
        seen = []
        for _ in range(4):
            await pilot.press("h")
            seen.append(history.scroll_y)
        assert max(seen) == history.max_scroll_y
        assert 0 in seen


async def test_a_photo_is_attached_by_its_path_and_looked_at(
    logbook: Logbook, three: OpenJob, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = picture(tmp_path / "seam one.png")
    launched: list[list[str]] = []
    monkeypatch.setattr(picture_dialog, "_viewer", lambda: ["viewer"])
    monkeypatch.setattr(picture_dialog, "_launch", launched.append)
    async with running(logbook, three) as pilot:
        await pilot.press("f5", "i")
        await pilot.pause()
        assert "has no photo" in told(pilot)[-1]
        await pilot.press("p")
        await put(pilot, "#field-path", str(tmp_path / "none.png"))
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "cannot be read" in text_of(pilot, "#form-error")
        await put(pilot, "#field-path", f"'{path}'")
        await put(pilot, "#field-caption", "Seam [b]after[/b] rain")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "photo 1  Seam [b]after[/b] rain" in text_of(pilot, "#history-text")
        assert "1 photo" in everything(pilot)
        await pilot.press("i")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert isinstance(pilot.app.screen, PhotoDialog)
        assert "Seam [b]after[/b] rain" in text_of(pilot, ".box-title")
        box = pilot.app.screen.query_one(PictureBox)
        assert box.virtual_size.width > 40
        strip = box.render_line(box.size.height // 2)
        grounds = [s.style.bgcolor.triplet for s in strip if s.style and s.style.bgcolor]
        kinds = {"red" if c.red > c.green else "green" for c in grounds if c and max(c) > 90}
        assert kinds == {"red", "green"}
        await pilot.press("o", "escape")
        await pilot.pause()
    ((_, copy),) = launched
    assert Path(copy).read_bytes() == path.read_bytes()
    assert stat.S_IMODE(Path(copy).stat().st_mode) == 0o600


async def test_where_no_picture_can_be_shown_one_line_says_so(
    logbook: Logbook, three: OpenJob, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    three.photo(picture(tmp_path / "a.png"), about=three.state.faults[0].id)
    monkeypatch.setattr(picture_dialog, "_viewer", lambda: None)
    async with running(logbook, three, ascii_only=True) as pilot:
        await pilot.press("f5", "i")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert "o opens it outside" in text_of(pilot, "#picture-says")
        assert everything(pilot).isascii()
        await pilot.press("o")
        await pilot.pause()
        assert "no viewer can be opened from here; a copy is at" in text_of(pilot, "#picture-says")
    monkeypatch.setattr(OpenJob, "file", lambda _job, _digest: None)
    async with running(logbook, three) as pilot:
        await pilot.press("f5", "i")
        await pilot.pause()
        assert "only their hashes are" in text_of(pilot, "#picture-says")


@pytest.mark.parametrize(
    "typed",
    [
        "/site/a b.png",
        "'/site/a b.png'",
        "/site/a\\ b.png",
        "file:///site/a%20b.png",
        ' "/site/a b.png" ',
    ],
)
def test_a_path_is_taken_as_terminals_give_it(typed: str) -> None:
    assert typed_path(typed) == Path("/site/a b.png")


async def test_a_photo_of_a_telephone_loses_its_place(
    logbook: Logbook, three: OpenJob, tmp_path: Path
) -> None:
    path = tmp_path / "placed.jpg"
    Image.new("RGB", (40, 30), "red").save(path, exif=with_notes())
    async with running(logbook, three) as pilot:
        await pilot.press("f5", "p")
        await put(pilot, "#field-path", str(path))
        await pilot.press("ctrl+s")
        await pilot.pause()
    (photo,) = three.state.faults[0].photos
    content = three.file(photo.body.sha256)
    assert content is not None
    assert has_place(path.read_bytes())
    assert not has_place(content)


def test_a_rotated_photo_is_shown_upright() -> None:
    from commission_tui.screens.terminal.picture_view import cells_of, open_picture, size_to_fit

    made = Image.new("RGB", (40, 20), (250, 250, 250))
    made.paste((0, 0, 0), (0, 0, 40, 10))
    exif = Image.Exif()
    exif[0x0112] = 6  # turned a quarter clockwise to look at (Exif 2.32, 4.6.4, Orientation)
    out = io.BytesIO()
    made.save(out, "PNG", exif=exif)
    upright = open_picture(out.getvalue())
    assert upright.size == (20, 40)
    cells = cells_of(upright, size_to_fit(upright.size, (20, 10)))
    (left, right) = (cells.rows[5][0], cells.rows[5][-1])
    assert left[2] > right[2]


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
        await pilot.press("a", "ctrl+s")
        await pilot.pause()
        assert "who accepts it for the client" in text_of(pilot, "#form-error")
        await put(pilot, "#field-accepted_by", "M. Hollis")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "by M. Hollis; " in text_of(pilot, "#history-text")
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
        await put(pilot, "#field-kind", "withdraw")
        await pilot.press("ctrl+s")
        assert "found 'withdraw', expected a kind of fault" in text_of(pilot, "#form-error")
        await put(pilot, "#field-kind", "")
        await pilot.press("ctrl+s")
        assert "Enter again withdraws fault 1" in text_of(pilot, "#form-error")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "No fault logged" in text_of(pilot, "#history-text")
        assert told(pilot)[-1] == "Fault 1 withdrawn"
    assert ready.state.faults == ()


async def test_a_filter_that_is_cleared_leads_back_to_the_fault_one_was_at_or_went_to(
    logbook: Logbook, three: OpenJob
) -> None:
    async with running(logbook, three) as pilot:
        await pilot.press("f5", "end", "slash", *"dark")
        await pilot.pause()
        assert "cabinet dark" in text_of(pilot, "#history-text")
        await pilot.press("escape")  # looked only: back where one was
        await pilot.pause()
        assert "something in own words" in text_of(pilot, "#history-text")
        await pilot.press("slash", *"dark", "enter", "down", "escape")
        await pilot.pause()
        assert pilot.app.screen.query_one(LineList).highlighted == 1
        assert "4 of 4 shown" in text_of(pilot, "#summary")


async def test_a_fault_at_a_port_opens_on_its_chain_and_is_named_there(
    logbook: Logbook, ready: OpenJob
) -> None:
    """No cabinet bears it: the wall stood at the first of the chain and showed nothing of it."""
    ready.fault("something in own words", "P1", "stop", note="no picture")
    async with running(logbook, ready) as pilot:
        await pilot.press("f5", "enter")
        await pilot.pause()
        assert told(pilot)[-1] == "Fault 1 at P1, whose chain this is: something in own words, open"
        assert "chains" in text_of(pilot, "#layer-line").lower()
        assert "P1.1" in caption_of(pilot)


async def test_what_several_faults_had_done_in_one_step_is_taken_back_as_one_with_its_number(
    logbook: Logbook, ready: OpenJob
) -> None:
    for place in ("R1C1", "R1C2"):
        ready.fault("cabinet dark", place, "stop")
    async with running(logbook, ready) as pilot:
        await pilot.press("f5", "t", "m", *"jumper seated", "enter")
        await until(pilot, lambda: {fault.state for fault in ready.state.faults} == {"mended"})
        await pilot.press("ctrl+z")
        await until(pilot, lambda: "2 entries logged in one go: fault 2" in everything(pilot))
        await pilot.press("enter")
        await until(pilot, lambda: {fault.state for fault in ready.state.faults} == {"open"})
        assert any("kept: 2 entries logged in one go" in line for line in told(pilot))
    assert len(ready.state.corrections) == 2
