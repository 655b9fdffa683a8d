"""Handover: the draft's pages on the screen and outside, and signing the file with a key."""

from __future__ import annotations

import asyncio
import threading
from pathlib import Path

import pytest
from textual.worker import Worker

from commission_tui.errors import DocumentError
from commission_tui.handover import export
from commission_tui.handover.keys import new_key
from commission_tui.handover.verifying import verify_file
from commission_tui.logbook.service import Logbook, OpenJob
from commission_tui.screens import key_signing, opening, pages
from commission_tui.screens.pages import PagesDialog
from commission_tui.screens.picture_view import across, cells_of, fitted, opened, without_margins
from commission_tui.screens.widgets.picture_box import PictureBox
from commission_tui.screens.widgets.plain_input import PlainInput
from tests.screens.helping import app_of, everything, put, running, text_of

PASSPHRASE = "eleven grey cabinets"  # noqa: S105 (of a key made here)


async def test_the_pages_are_shown_one_after_the_other_and_closer(
    logbook: Logbook, ready: OpenJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    launched: list[list[str]] = []
    monkeypatch.setattr(opening, "_viewer", lambda: ["viewer"])
    monkeypatch.setattr(opening, "_launch", launched.append)
    async with running(logbook, ready, size=(120, 40)) as pilot:
        await pilot.press("f8", "p")
        await pilot.pause()
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        box = pilot.app.screen.query_one(PictureBox)
        assert text_of(pilot, "#picture-title").startswith("Page 1   1 of ")
        assert 0 < box.columns < 60
        assert box.max_scroll_y == 0
        await pilot.press("pagedown")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert text_of(pilot, "#picture-title").startswith("Page 2   2 of ")
        await pilot.press("z")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert box.columns == box.size.width - 1  # beside the scroll bar
        assert "full width" in text_of(pilot, "#picture-title")
        await pilot.press("pagedown")
        await pilot.pause()
        assert box.scroll_y > 0
        assert text_of(pilot, "#picture-title").startswith("Page 2")
        await pilot.press("pageup", "pageup")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert text_of(pilot, "#picture-title").startswith("Page 1")
        await pilot.press("o")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert "Opened outside: fellmoor-side-wall-draft.pdf" in text_of(pilot, "#picture-says")
    ((_, copy),) = launched
    assert Path(copy).read_bytes().startswith(b"%PDF")


async def test_leaving_the_pages_stops_them_and_a_refusal_is_one_line(
    logbook: Logbook, ready: OpenJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun, go_on = threading.Event(), threading.Event()

    def slow(_job: OpenJob, *, draft: bool) -> list[bytes]:
        assert draft
        begun.set()
        go_on.wait(5)
        return []

    monkeypatch.setattr(pages, "page_pictures", slow)
    async with running(logbook, ready) as pilot:
        await pilot.press("f8", "p")
        assert begun.wait(5)
        await pilot.pause()
        assert "2 of 2: setting the pages" in everything(pilot) or "1 of 2" in everything(pilot)
        assert isinstance(pilot.app.screen, PagesDialog)
        await pilot.press("escape")
        await pilot.pause()
        go_on.set()
        await pilot.app.workers.wait_for_complete()
        assert not isinstance(pilot.app.screen, PagesDialog)

        def refused(_job: OpenJob, *, draft: bool) -> list[bytes]:
            raise DocumentError(f"document: the typesetter refused it {draft}")

        monkeypatch.setattr(pages, "page_pictures", refused)
        await pilot.press("p")
        await pilot.pause()
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert "the typesetter refused it True" in text_of(pilot, "#picture-says")


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
        await put(pilot, "#field-name", "R. Fell, Tarn & Fell Integration")
        await put(pilot, "#field-passphrase", PASSPHRASE)
        await pilot.press("escape", "f")
        await pilot.pause()
        assert pilot.app.screen.query_one("#field-passphrase", PlainInput).value == ""
        await put(pilot, "#field-role", "1")
        await put(pilot, "#field-passphrase", PASSPHRASE)
        await pilot.press("ctrl+s")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert "Signed by R. Fell" in text_of(pilot, "#export-line")
        assert PASSPHRASE not in str(app_of(pilot).drafts)
    assert any("signing" in line for line in described)
    assert not any(PASSPHRASE in line for line in described)
    found = await asyncio.to_thread(verify_file, document)
    assert found.holds
    assert [one.name for one in found.signatures] == ["R. Fell, Tarn & Fell Integration"]
    (signature,) = ready.state.signatures
    assert signature.body.role == "integrator"
    assert PASSPHRASE.encode() not in ready.database.read_bytes()


def test_a_page_keeps_its_shape_and_the_paper_takes_the_tint(ready: OpenJob) -> None:
    from commission_tui.handover import page_pictures

    first = opened(page_pictures(ready, draft=True)[0])
    size = first.size
    assert 0.6 < without_margins(first).width / first.width < 0.95
    # A cell is twice as high as wide, so A4 (210 x 297) fills 1.41 / 2 rows a column.
    columns, rows = fitted(size, (118, 36))
    assert rows == 36
    assert rows * 2 / columns == pytest.approx(297 / 210, rel=0.02)
    assert across(size, 100) == (100, round(100 * size[1] / size[0] / 2))
    cells = cells_of(first, (columns, rows), tint=(200, 120, 70))
    assert all(sum(len(text) for text, _, _ in row) == columns for row in cells.rows)
    red, green, blue = (int(cells.rows[0][0][2][i : i + 2], 16) for i in (1, 3, 5))
    assert (red, green, blue) == (200, 120, 70)
