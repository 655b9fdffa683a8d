"""What is wrong in a form, or odd, takes one to its line; what was begun is replaced by typing."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from textual import events
from textual.pilot import Pilot
from textual.widgets import Input, OptionList

from commission_tui.errors import InputError
from commission_tui.handover.signing.keys import new_key
from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.handover import key_signing
from commission_tui.screens.instruments import instrument_forms
from commission_tui.screens.shared.photo_dialog import attach_form
from commission_tui.screens.walk import input_prompt
from commission_tui.screens.walk.view import Preview, steps
from commission_tui.screens.widgets.form import Form, Question
from commission_tui.screens.widgets.text_lines import Painted
from tests.cases import case
from tests.handover.helping import export
from tests.screens.helping import app_of, enter, everything, put, running, text_of, told, until

PASSPHRASE = "lantern-moss-ferry"  # noqa: S105 (of a key made here)


def at(screen: object) -> tuple[str | None, str]:
    """Return the field one is in, and what of it is selected."""
    field = getattr(screen, "focused", None)
    assert isinstance(field, Input)
    return field.id, field.selected_text


async def test_a_value_taken_up_again_is_replaced_by_typing_and_cleared_whole(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n", *"581.5", "pagedown", "pageup")
        await pilot.pause()
        assert at(pilot.app.screen) == ("value", "581.5")
        await pilot.press("8")
        assert pilot.app.screen.query_one("#value", Input).value == "8"
        await pilot.press("2", "home", "ctrl+u")
        assert pilot.app.screen.query_one("#value", Input).value == ""


async def test_a_passphrase_is_asked_first_and_never_kept_where_it_does_not_belong(
    logbook: Logbook, ready: OpenJob, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = new_key(tmp_path / "keys" / "r-fell.p12", PASSPHRASE, name="R. Fell")
    monkeypatch.setattr(key_signing, "known_keys", lambda: [made.key])
    (document,) = export(ready, tmp_path / "out", ("pdf",))
    async with running(logbook, ready, export_dir=tmp_path / "out") as pilot:
        await pilot.press("f8", "f")
        await pilot.pause()
        assert at(pilot.app.screen)[0] == "field-passphrase"
        for key in ("file", "key"):
            await put(pilot, f"#field-{key}", PASSPHRASE)
            await pilot.press("ctrl+s")
            await pilot.pause()
            assert text_of(pilot, "#form-error").startswith(f"{key}: no such file")
            assert PASSPHRASE not in text_of(pilot, "#form-error")
            assert at(pilot.app.screen) == (f"field-{key}", PASSPHRASE)
            app_of(pilot).keep_unfinished()
            assert PASSPHRASE not in str(app_of(pilot).drafts)
            await put(pilot, f"#field-{key}", str(document) if key == "file" else "1")
        await put(pilot, "#field-file", PASSPHRASE)
        await pilot.press("escape", "f")
        await pilot.pause()
        assert pilot.app.screen.query_one("#field-file", Input).value == str(document)
        app_of(pilot).drafts["note"] = {"text": "beside it"}
        app_of(pilot).keep_unfinished()
    (kept,) = ready.database.parent.glob(f"{ready.database.name}.unfinished-*")
    assert "beside it" in kept.read_text("utf-8")
    assert PASSPHRASE not in kept.read_text("utf-8")


async def test_what_is_wrong_takes_one_to_its_line(
    logbook: Logbook, ready: OpenJob, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    wrong = tmp_path / "notes.txt"
    wrong.write_text("no picture")
    ready.fault("dead pixel", "R1C1", "near")
    monkeypatch.setattr(key_signing, "key_folder", lambda: tmp_path / "keys")
    monkeypatch.setattr(key_signing, "known_keys", list)
    async with running(logbook, ready) as pilot:
        await pilot.app.push_screen(attach_form(ready, ready.state.faults[0]))
        await pilot.press(*str(wrong), "enter", "enter")
        await pilot.pause()
        assert at(pilot.app.screen) == ("field-path", str(wrong))
        await pilot.press("escape", "f8", "f")
        await pilot.pause()
        assert text_of(pilot, ".box-title").startswith("No key here yet: make one")
        await put(pilot, "#field-passphrase", "short")
        await put(pilot, "#field-again", "short")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert pilot.app.screen.focused is pilot.app.screen.query_one("#field-passphrase")


async def test_a_date_that_is_none_is_gone_back_to_and_the_list_begins_with_all(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f8", "s", "2", "enter", *"Marit", "ctrl+s")
        await pilot.pause()
        options = pilot.app.screen.query_one(OptionList)
        assert options.highlighted == 0
        await pilot.press("down", "down", "home")
        assert options.highlighted == 0
        await pilot.press("end")
        assert options.highlighted == options.option_count - 1
        await pilot.press("home", "enter")
        await pilot.pause()
        assert text_of(pilot, ".box-title").startswith("Take all 4")
        await put(pilot, "#field-owner", "1")
        await put(pilot, "#field-due", "30.2.2027")
        await put(pilot, "#field-words", "M. H.")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert at(pilot.app.screen) == ("field-due", "30.2.2027")


async def test_a_role_that_is_none_of_the_known_ones_is_asked_about_once(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f8", "s", *"Tove Brask", "enter")
        await pilot.pause()
        assert "'Tove Brask' is no role that is usual" in text_of(pilot, "#form-error")
        assert at(pilot.app.screen) == ("field-role", "Tove Brask")
        await pilot.press("enter")
        assert at(pilot.app.screen)[0] == "field-name"
        await pilot.press("up", *"2", "enter")
        assert at(pilot.app.screen)[0] == "field-name"


async def test_a_correction_names_its_reason_and_where_nothing_stands_means_the_last_reading(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n")
        await enter(pilot, "612")
        await pilot.press("ctrl+r")
        await pilot.pause()
        title = text_of(pilot, ".box-title")
        assert title.startswith("Correct the last reading: Luminance on white at point 1")
        await pilot.press(*"602", "enter", "enter")
        await pilot.pause()
        assert told(pilot)[-1] == "Corrected; 612 is kept in the record, reason: typed wrong"
        assert "point 2" in text_of(pilot, "#asked")
    logged = ready.state.latest("nine", "luminance_cd_m2", "point 1")
    assert logged is not None
    assert logged.body.value == 602.0


async def test_a_bare_number_is_no_serial_unasked_and_an_instrument_can_be_corrected(
    logbook: Logbook, small: OpenJob
) -> None:
    async with running(logbook, small) as pilot:
        await pilot.press("n", *"601", "enter")
        await pilot.pause()
        await pilot.press(*"Meter", "enter", *"801", "ctrl+s")
        await pilot.pause()
        assert "801 is a number alone: a reading typed too early?" in text_of(pilot, "#form-error")
        assert not small.state.instruments
        await pilot.press("ctrl+s")
        await pilot.pause()
        await pilot.press("ctrl+t", "end", "up")
        assert "correct what is logged of Meter 801" in everything(pilot)
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("down", *"A77", "ctrl+s")
        await pilot.pause()
        assert not isinstance(pilot.app.screen, Form)
    assert [i.body.serial for i in small.state.instruments.values()] == ["A77"]
    assert small.state.instrument_for("cd/m2") is not None


@pytest.mark.parametrize("typed", ["ohm 3% + 0,005", "2 % ± 0.1", "801"])
def test_what_is_no_serial_is_asked_about(ready: OpenJob, typed: str) -> None:
    serial = next(
        q for q in instrument_forms.new_instrument(ready, "lx")._questions if q.key == "serial"
    )
    assert serial.odd is not None
    assert "Enter again takes it as serial number" in serial.odd(typed)
    assert serial.odd("LM-2045") == ""


def test_a_chromaticity_that_lacks_its_instrument_names_itself(job: OpenJob) -> None:
    check = next(c for c in job.state.checklist for f in c.fields if f.unit == "xy" and f.measured)
    step = next(s for s in steps(check, job.state.wall) if s.field.unit == "xy")
    said = input_prompt.message(job, check, step, Preview())
    assert said[0][0].startswith("No instrument chosen for ")
    assert step.field.label.lower() in said[0][0].lower()


def test_a_form_that_adds_an_instrument_says_how_it_is_corrected(ready: OpenJob) -> None:
    notes = instrument_forms.new_instrument(ready, "lx")._notes
    assert "Ctrl+T" in "".join(text for line in notes for text, _ in line)


async def test_a_new_keys_warning_is_read_whole_in_the_least_window(
    logbook: Logbook, ready: OpenJob, tmp_path: Path
) -> None:
    made = new_key(tmp_path / "keys" / "r-fell.p12", "abcdabcd", name="R. Fell")
    async with running(logbook, ready) as pilot:
        await pilot.press("f8")
        pilot.app.screen.query_one("#export-line", Painted).show(*key_signing.made_lines(made))
        await pilot.pause()
        shown = " ".join(everything(pilot).split())
    assert "weak" in made.strength
    assert made.strength in shown
    assert "signs with it" in shown


async def test_a_passphrase_that_waits_for_an_answer_is_not_shown(
    logbook: Logbook, ready: OpenJob, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Typed on while a role is asked about: it is told how much waits and for what, not what it is."""
    made = new_key(tmp_path / "keys" / "r-fell.p12", PASSPHRASE, name="R. Fell")
    monkeypatch.setattr(key_signing, "known_keys", lambda: [made.key])
    export(ready, tmp_path / "out", ("pdf",))
    async with running(logbook, ready, export_dir=tmp_path / "out") as pilot:
        await pilot.press("f8", "f")
        await pilot.pause()
        pilot.app.screen.query_one("#field-role", Input).focus()
        for key in (*"Tove", "enter", *PASSPHRASE):
            pilot.app.post_message(events.Key(key, key if len(key) == 1 else None))
        many = f"{len(PASSPHRASE)} keys"
        says = f"Waits for your answer above, not shown: {many} typed on. Esc drops it"
        await until(pilot, lambda: says in everything(pilot))
        assert PASSPHRASE[:8] not in everything(pilot)
        await pilot.press("escape")
        assert f"Not taken, typed on: {many}" in told(pilot)
        assert PASSPHRASE[:8] not in everything(pilot)


def _at_once(pilot: Pilot[None], *keys: str) -> None:
    """Send keys in one burst, a word with a line break in it as one paste."""
    for key in keys:
        event = (
            events.Paste(key) if "\n" in key else events.Key(key, key if len(key) == 1 else None)
        )
        pilot.app.post_message(event)


@pytest.mark.parametrize("is_read", [False, True])
async def test_a_paste_behind_a_refused_line_keeps_its_order_and_corrects_it_only_once_that_was_read(
    logbook: Logbook, ready: OpenJob, *, is_read: bool
) -> None:
    def right(typed: str) -> None:
        if typed != "right":
            raise InputError("Second: is wrong")

    def fields() -> list[str]:
        return [field.value for field in pilot.app.screen.query(Input)]

    asked = [Question(key, key.title()) for key in ("first", "second", "third", "fourth", "fifth")]
    asked[1] = replace(asked[1], check=right)
    async with running(logbook, ready) as pilot:
        app_of(pilot).reads_s = 30.0
        await pilot.app.push_screen(Form("Five", asked, lambda _: None))
        _at_once(pilot, "1", "enter", *"wrong", "enter", *"one", "enter")
        await until(pilot, lambda: any("waits: one Enter" in line for line in told(pilot)))
        if is_read:
            app_of(pilot).reads_s = 0.0
            _at_once(pilot, "right\n")
            await until(pilot, lambda: fields() == ["1", "right", "one", "", ""])
        else:
            _at_once(pilot, "two\n")
            await until(pilot, lambda: any("one Enter two" in line for line in told(pilot)))
            assert at(pilot.app.screen) == ("field-second", "wrong")
            app_of(pilot).reads_s = 0.0
            await pilot.press(*"right", "enter")
            await until(pilot, lambda: fields() == ["1", "right", "one", "two", ""])


def _nine(job: OpenJob) -> list[object]:
    points = [f"point {n}" for n in range(1, 10)]
    found = [job.state.latest("nine", "luminance_cd_m2", point) for point in points]
    return [logged.body.value for logged in found if logged]


async def test_nine_lines_pasted_before_any_instrument_are_logged_with_it_in_order(
    logbook: Logbook, small: OpenJob
) -> None:
    async with running(logbook, small) as pilot:
        await pilot.press("n")
        _at_once(pilot, "".join(f"{n}\n" for n in range(601, 610)))
        await until(pilot, lambda: any("waits: 602 Enter" in line for line in told(pilot)))
        await pilot.press(*"Meter", "enter", *"A7", "ctrl+s")
        await until(pilot, lambda: len(_nine(small)) == 9)
    assert _nine(small) == [float(n) for n in range(601, 610)]
    assert [i.body.name for i in small.state.instruments.values()] == ["Meter"]


@pytest.mark.parametrize("rest", [("602\n603\n604\n",), tuple("602 603 604 ".replace(" ", "\r"))])
async def test_readings_that_come_after_the_instruments_form_wait_for_it_in_order(
    logbook: Logbook, small: OpenJob, rest: tuple[str, ...]
) -> None:
    """The form is there already; what can be no name is one more reading, and waits visibly."""
    async with running(logbook, small) as pilot:
        await pilot.press("n", *"601", "enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, Form)
        _at_once(pilot, *(key.replace("\r", "enter") for key in rest))
        await until(pilot, lambda: any("602 Enter 603" in line for line in told(pilot)))
        await pilot.pause()
        assert [part.value for part in pilot.app.screen.query(Input)] == ["", "", "", "cd/m2"]
        await pilot.press(*"Meter", "enter", *"A7", "ctrl+s")
        await until(pilot, lambda: len(_nine(small)) == 4)
    assert _nine(small) == [601.0, 602.0, 603.0, 604.0]


async def test_figures_typed_after_the_form_opened_by_itself_are_readings_and_no_name(
    logbook: Logbook, small: OpenJob
) -> None:
    """Eyes on the paper: a dark level, one with its unit, one of another kind, an answer, a date."""
    async with running(logbook, small) as pilot:
        await pilot.press("n", *"601", "enter")
        await pilot.pause()
        assert "A number typed here is one more reading" in everything(pilot)
        for line in ("602 cd/m2", "0.3127", "y"):
            await pilot.press(*line, "enter")
            await pilot.pause()
        assert pilot.app.screen.query_one("#field-name", Input).value == ""
        assert any("(3 lines)" in line for line in told(pilot))
        await pilot.press(*"Meter", "enter", *"A7", "enter", *"2026-11-28", "enter")
        await pilot.pause()
        assert pilot.app.screen.query_one("#field-due", Input).value == "2026-11-28"
        await pilot.press("ctrl+s")
        await until(pilot, lambda: len(_nine(small)) == 2)
        assert (
            pilot.app.screen.query_one("#value", Input).value == "0.3127"
        )  # it is asked about here
    assert _nine(small) == [601.0, 602.0]
    assert [str(i.body.calibration_due) for i in small.state.instruments.values()] == ["2026-11-28"]


async def test_part_of_a_date_where_a_day_is_asked_for_is_refused_there_and_no_reading(
    logbook: Logbook, small: OpenJob
) -> None:
    async with running(logbook, small) as pilot:
        await pilot.press("n", *"601", "enter")
        await pilot.press(*"Meter", "enter", *"A7", "enter")
        for typed in ("2027", "2027-05", "05/2027", "2027-13-01", "24.13.2026"):
            with case(typed):
                await pilot.press("ctrl+u", *typed, "enter")
                await until(pilot, lambda: "calibration due" in text_of(pilot, "#form-error"))
                assert at(pilot.app.screen) == ("field-due", typed)
                assert "year-month-day" in everything(pilot)
        await pilot.press("ctrl+u", *"602.5", "enter")  # a reading is one still
        await until(pilot, lambda: any("waits: 602.5" in line for line in told(pilot)))
        assert at(pilot.app.screen) == ("field-due", "")
        await pilot.press(*"2027-05-01", "enter", "enter")
        await until(pilot, lambda: len(_nine(small)) == 2)
    assert _nine(small) == [601.0, 602.5]


async def test_what_waits_is_never_typed_onto_the_end_of_a_line(
    logbook: Logbook, small: OpenJob
) -> None:
    async with running(logbook, small) as pilot:
        pilot.app.push_screen(instrument_forms.new_instrument(small, "cd/m2"))
        await pilot.press("down", *"A7", "up")
        _at_once(pilot, *"602", "enter", *"B8", "enter")
        await until(pilot, lambda: any("waits" in line for line in told(pilot)))
        await pilot.pause(app_of(pilot).reads_s)
        await pilot.press(*"Meter", "enter")
        await pilot.pause()
        assert pilot.app.screen.query_one("#field-serial", Input).value == "B8"


async def test_a_burst_over_a_fault_of_no_kind_is_not_typed_onto_it(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n", "ctrl+l")
        _at_once(pilot, "enter", *"R1C2", "enter")
        await until(pilot, lambda: any("waits: R1C2 Enter" in line for line in told(pilot)))
        assert pilot.app.screen.query_one("#field-kind", Input).value == ""
        await pilot.pause(app_of(pilot).reads_s)
        await pilot.press(*"crack", "enter")
        await pilot.pause()
        assert pilot.app.screen.query_one("#field-place", Input).value == "R1C2"


def test_a_figure_is_told_from_a_serial_number() -> None:
    figures = ("801", "-0.31", "0,3127 0,3290", "2.5 lx", "<1", "1 000")
    assert [text for text in figures if not instrument_forms.is_figure(text)] == []
    serials = ("88-104", "2024-0113", "A77", "12+3", "2.5 Orrery")
    assert [text for text in serials if instrument_forms.is_figure(text)] == []
