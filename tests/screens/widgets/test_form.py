"""Forms: moving between lines, what is wrong said at its line, what typing replaces."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from textual.widgets import Input

from commission_tui.errors import InputError
from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.instruments import instrument_forms
from commission_tui.screens.layers.progress_layers import cabinet_readings
from commission_tui.screens.shared import entry_forms
from commission_tui.screens.shared.settings_forms import setting
from commission_tui.screens.widgets.form import Form, FormLines, Question
from tests.handover.helping import sign
from tests.screens.conftest import SMALL_WALL
from tests.screens.helping import app_of, everything, put, running, text_of, told, until


@pytest.mark.parametrize("key", ["ctrl+g", "f4"])
async def test_a_key_that_goes_to_another_check_or_screen_says_that_the_form_is_closed_first(
    logbook: Logbook, ready: OpenJob, key: str
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n", *"601", "enter", "ctrl+r", key)
        assert told(pilot) == ["Another check or screen: Esc closes this form first"]
        assert isinstance(pilot.app.screen, Form)


async def test_up_and_down_move_between_the_lines_of_a_form(logbook: Logbook) -> None:
    async with running(logbook) as pilot:
        await pilot.press("n", "down", "down")
        await pilot.pause()
        assert _focused(pilot.app.screen) == "field-client"
        await pilot.press("up", "up", "up")
        await pilot.pause()
        assert _focused(pilot.app.screen) == "field-wall"


async def test_a_wall_file_that_is_not_there_is_told_before_the_next_line(
    logbook: Logbook, tmp_path: Path
) -> None:
    path = tmp_path / "hall.toml"
    path.write_text(SMALL_WALL, encoding="utf-8")
    async with running(logbook) as pilot:
        await pilot.press("n")
        await put(pilot, "#field-wall", str(tmp_path / "hal.toml"))
        await pilot.press("enter")
        await pilot.pause()
        assert "cannot be read" in text_of(pilot, "#form-error")
        assert _focused(pilot.app.screen) == "field-wall"
        await put(pilot, "#field-wall", str(path))
        await pilot.press("enter")
        await pilot.pause()
        assert text_of(pilot, "#form-error") == ""
        assert _focused(pilot.app.screen) == "field-name"


async def test_logging_from_any_line_goes_back_to_the_line_that_is_wrong(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        pilot.app.push_screen(instrument_forms.new_instrument(ready, "lx"))
        await pilot.pause()
        await put(pilot, "#field-name", "Lux meter")
        await put(pilot, "#field-serial", "A7")
        await put(pilot, "#field-due", "09/10/2027")
        await pilot.press("down", "down", "down", "ctrl+s")
        await pilot.pause()
        assert "2027-09-10 or 2027-10-09: type year-month-day" in text_of(pilot, "#form-error")
        assert _focused(pilot.app.screen) == "field-due"
        await put(pilot, "#field-due", "30.09.2027")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert not isinstance(pilot.app.screen, Form)
    due = ready.state.instruments["lux-meter-a7"].body.calibration_due
    assert due is not None
    assert due.isoformat() == "2027-09-30"


async def test_what_is_filled_in_is_replaced_by_typing(logbook: Logbook, ready: OpenJob) -> None:
    ready.read("nine", "luminance_cd_m2", "point 1", 6120.0, confirmed=True)
    async with running(logbook, ready) as pilot:
        await pilot.press("f3", "up", "ctrl+r")
        await pilot.pause()
        await pilot.press(*"612", "down", *"wrong key")
        await pilot.pause()
        screen = pilot.app.screen
        assert screen.query_one("#field-value", Input).value == "612"
        assert screen.query_one("#field-reason", Input).value == "wrong key"


@pytest.mark.parametrize(
    ("keys", "left"),
    [
        (("9",), "9"),
        (("9", "ctrl+z"), "2.4"),
        (("backspace", "9"), "2.9"),
        (("left", "9"), "2.94"),
        (("home", "9"), "92.4"),
    ],
)
async def test_a_line_that_one_goes_back_to_is_replaced_by_typing_and_edited_by_other_keys(
    logbook: Logbook, ready: OpenJob, keys: tuple[str, ...], left: str
) -> None:
    async with running(logbook, ready) as pilot:
        app_of(pilot).push_screen(setting(ready, "grey curve"))
        await pilot.pause()
        await pilot.press(*"2.4", "enter", "up")
        assert "1 of 4, Enter: next; typing replaces it" in text_of(pilot, ".box-title")
        await pilot.press(*keys)
        assert pilot.app.screen.query_one("#field-value", Input).value == left
        assert "typing replaces it" not in text_of(pilot, ".box-title")


async def test_the_lines_of_a_fault_that_one_goes_back_to_are_replaced_by_typing(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", "l", *"R1C2 dark", "enter", "down", "down", *"at the left", "up")
        await pilot.press("down", *"smoke")
        assert pilot.app.screen.query_one("#field-note", Input).value == "smoke"
        await pilot.press("up", "up", "up", *"scratched")
        assert pilot.app.screen.query_one("#field-kind", Input).value == "scratched"


def test_a_value_put_right_that_has_no_meaning_is_said_without_its_label(ready: OpenJob) -> None:
    ready.read("nine", "luminance_cd_m2", "point 1", 612.0)
    last = ready.state.latest("nine", "luminance_cd_m2", "point 1")
    assert last is not None
    check = entry_forms.put_right(ready, last)._questions[0].check
    assert check is not None
    with pytest.raises(InputError, match=r"^'many': is not a value"):
        check("many")
    check("")


def test_what_is_put_right_says_what_it_is_averaged_with_and_who_signed_it(ready: OpenJob) -> None:
    ready.read("nine", "luminance_cd_m2", "point 1", 600.0)
    ready.read("nine", "luminance_cd_m2", "point 1", 601.0, again=True)
    sign(ready, "integrator", "I. Fell")
    last = ready.state.latest("nine", "luminance_cd_m2", "point 1")
    assert last is not None
    form = entry_forms.put_right(ready, last)
    said = ["".join(words for words, _ in line) for line in form._notes]
    assert said[1] == "Averaged with 600 cd/m²"
    assert said[2] == (
        "I. Fell (integrator) signed since: it is no longer what was signed or handed over"
    )
    odd = form._questions[0].odd
    assert odd is not None
    assert "it is averaged with 600 cd/m², 6 % apart: do both count?" in odd("561")
    assert "averaged" not in odd("602")
    over = entry_forms.put_right(ready, last, "561")  # read again: in the place of both
    said = ["".join(words for words, _ in line) for line in over._notes]
    assert said[1] == "In the place of 600 cd/m² too"
    odd = over._questions[0].odd
    assert odd is not None
    assert "averaged" not in odd("561")


def _focused(screen: object) -> str | None:
    focused = getattr(screen, "focused", None)
    return focused.id if focused is not None else None


async def test_a_reading_at_many_cabinets_asks_for_the_instrument_it_lacks_and_goes_on(
    logbook: Logbook, job: OpenJob
) -> None:
    async with running(logbook, job) as pilot:
        await pilot.press("f4", "space", "right", "space", "i")
        await pilot.pause()
        await pilot.press(*"lowest torque", "enter")
        await pilot.pause()
        assert text_of(pilot, ".box-title").startswith("Instrument that measures N·m")
        await put(pilot, "#field-name", "Torque wrench")
        await put(pilot, "#field-serial", "A7")
        await put(pilot, "#field-units", "Nm 3 % repeats 0.5 % step 0.1")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "2 cabinets: R1C1, R1C2" in text_of(pilot, ".box-notes")
        await put(pilot, "#field-value", "12.3")
        await pilot.press("enter")
        await pilot.pause()
    for place in ("R1C1", "R1C2"):
        reading = job.state.latest("lock-torque", "torque_nm", place)
        assert reading is not None
        assert reading.body.value == 12.3
        assert reading.body.instrument == "torque-wrench-a7"
    stated = job.state.instruments["torque-wrench-a7"].body.accuracy["N·m"]
    assert (stated.percent, stated.repeatability_percent, stated.resolution) == (3.0, 0.5, 0.1)


def test_what_does_not_apply_is_not_offered_for_many_cabinets(job: OpenJob) -> None:
    job.skip("lock-torque", "no locks: screwed")
    offered = {check.id for check, _ in cabinet_readings(job)}
    assert "cabinet-luminance" in offered
    assert not offered & {"lock-torque", "light-left"}


async def test_all_that_is_wrong_is_listed_and_scrolled_to(
    logbook: Logbook, tmp_path: Path
) -> None:
    """In the least window the foot of the form stays on it, and the last line can be read."""
    path = tmp_path / "hall.toml"
    path.write_text(
        re.sub(r"(_mm|_px|_kg|_w) = ", r"\1 = -", SMALL_WALL).replace("--", "-"), encoding="utf-8"
    )
    async with running(logbook) as pilot:
        await pilot.press("n")
        await put(pilot, "#field-wall", str(path))
        await pilot.press("enter")
        await pilot.pause()
        said = text_of(pilot, "#form-error").splitlines()
        assert said[0] == f"{len(said) - 1} things to put right (Page Down shows more):"
        assert len(said) > 4
        shown = everything(pilot)
        assert "Done" in shown
        for _ in said:
            await pilot.press("pagedown")
        await pilot.pause()
        assert "power_max_w" in said[-1]
        assert "power_max_w" not in shown
        assert "power_max_w" in "".join(line.strip() for line in everything(pilot).splitlines())


async def test_of_a_form_higher_than_the_screen_the_line_one_is_on_its_error_and_keys_are_seen(
    logbook: Logbook, ready: OpenJob
) -> None:
    def wrong(_: object) -> None:
        raise InputError("Third: " + "many words, " * 30)

    asked = [Question(key, key.title()) for key in ("first", "second", "third")]
    notes = [((f"note {number}", ""),) for number in range(40)]
    async with running(logbook, ready) as pilot:
        form = Form("Many notes", asked, wrong, notes=notes)
        await pilot.app.push_screen(form)

        def is_seen(key: str) -> bool:
            label, field = (form.query_one(f"#{part}-{key}") for part in ("label", "field"))
            lines = form.query_one(FormLines).region
            return lines.contains_region(label.region) and lines.contains_region(field.region)

        for question in asked:
            await until(pilot, lambda key=question.key: is_seen(key))  # type: ignore[misc]
            shown = everything(pilot)
            assert "Many notes" in shown
            assert question.label in shown
            assert "Esc Close" in shown
            await pilot.press("down")
        await pilot.press("up", "up", "x", "ctrl+s")
        await until(pilot, lambda: is_seen("third") and "many words" in everything(pilot))
        assert "Esc Close" in everything(pilot)
        assert pilot.app.screen.region.contains_region(form.query_one(FormLines).region)


async def test_page_up_shows_the_notes_of_a_form_higher_than_the_screen(
    logbook: Logbook, ready: OpenJob
) -> None:
    notes = [((f"note {number}.", ""),) for number in range(40)]
    async with running(logbook, ready) as pilot:
        await pilot.app.push_screen(
            Form("Many notes", [Question("first", "First")], lambda _: None, notes=notes)
        )
        await until(pilot, lambda: "note 39." in everything(pilot))
        assert "note 0." not in everything(pilot)
        await pilot.press("pageup", "pageup", "pageup")
        await until(pilot, lambda: "note 0." in everything(pilot))


async def test_escape_keeps_what_was_typed_in_any_form_and_offers_it_where_it_was_typed(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", "i", "enter", "y", "escape")
        await pilot.pause()
        assert any("it has what you typed" in line for line in told(pilot))
        await pilot.press("i", "enter")
        await pilot.pause()
        assert pilot.app.screen.query_one("#field-value", Input).value == "y"
        await pilot.press("escape", "right", "i", "enter")  # at another cabinet
        await pilot.pause()
        assert pilot.app.screen.query_one("#field-value", Input).value == ""
        await pilot.press("escape", "f2", "i", "ctrl+u", *"B. Helper", "escape", "i")
        await pilot.pause()
        assert pilot.app.screen.query_one("#field-name", Input).value == "B. Helper"
    assert not ready.state.readings


async def test_a_position_that_is_left_is_said_and_not_offered_for_the_next(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", *"r2c3", "escape")
        await pilot.pause()
        assert "Not logged, and dropped: R2c3" in told(pilot)
        await pilot.press(*"r1c2", "enter")
        await pilot.pause()
        assert "R1C2" in everything(pilot)
