"""The overview: what is next, what blocks acceptance."""

from __future__ import annotations

import pytest
from textual.widgets import Input

from commission_tui.errors import InputError
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.logbook import Logbook, OpenJob, body
from commission_tui.screens.instruments.instrument_forms import measured_units, units_of, units_text
from commission_tui.screens.shared.settings_forms import visit
from tests.screens.helping import running, text_of, told


async def test_the_overview_says_what_is_next_and_what_blocks(
    logbook: Logbook, ready: OpenJob
) -> None:
    ready.fault("cabinet dark", "R1C2", "stop")
    async with running(logbook, ready) as pilot:
        assert "Next Brightness at nine points" in text_of(pilot, "#next")
        blocks = text_of(pilot, "#blocking-text")
        assert blocks.startswith("Handover draft\nExceptions if signed now 5")
        assert "fault 1 at R1C2: cabinet dark" in blocks.splitlines()[2]
        assert "▲" in text_of(pilot, "#small-wall")
        await pilot.press("down", "enter")
        await pilot.pause()
        assert "Nothing temporary left" in text_of(pilot, "#check-where")


async def test_an_accuracy_that_was_not_known_is_asked_for_until_it_is_stated(
    logbook: Logbook, small: OpenJob
) -> None:
    """And the uncertainty of what was read before follows."""
    small.record(
        body(
            e.Instrument,
            key="m",
            name="Meter",
            serial="A7",
            accuracy={"cd/m2": {}, "lx": {"percent": 3.0}},
        )
    )
    for point in range(1, 10):
        small.read("nine", "luminance_cd_m2", f"point {point}", 600.0)
    assert small.outcome("nine").figures[0].spread_text == "± not known"
    async with running(logbook, small) as pilot:
        assert "Accuracy? Meter A7  u" in text_of(pilot, "#next")
        await pilot.press("u")
        await pilot.pause()
        field = pilot.app.screen.focused
        assert isinstance(field, Input)
        assert (field.id, field.value) == ("field-units", "cd/m2; lx 3 %")
        await pilot.press(*"cd/m2 2 % + 0.1", "ctrl+s")
        await pilot.pause()
        assert "Accuracy?" not in text_of(pilot, "#next")
        await pilot.press("u")
        await pilot.pause()
        assert told(pilot)[-1] == "Of every instrument that was used the accuracy is stated"
    assert small.state.instruments["m"].body.accuracy["lx"].percent == 3.0
    mean = small.outcome("nine").figures[0]
    assert mean.expanded == pytest.approx(0.02 * 600 + 0.1, rel=0.3)
    assert small.state.instrument_for("cd/m2") is not None


@pytest.mark.parametrize("typed", ["xy 0,003", "ms 8", "cd/m2 2 %; lx 3"])
def test_a_number_alone_is_no_accuracy(typed: str) -> None:
    """0.003 of a colour meter is meant in xy; taken for percent it made every white a firm pass."""
    with pytest.raises(InputError, match=r"expected '.+ %' of the reading, or '.+ \+ .+' in "):
        measured_units(typed)


@pytest.mark.parametrize("typed", ["xy 0+0.002", "xy=0+0.002", "xy=0 % + 0,002", "xy = 0 + 0.002"])
def test_an_accuracy_is_read_as_it_is_written_on_the_command_line(typed: str) -> None:
    assert measured_units(typed) == {"xy": {"percent": 0.0, "absolute": 0.002}}
    assert measured_units("xy + 0.002") == measured_units("xy+0.002") == {"xy": {"absolute": 0.002}}


def test_what_is_stated_in_a_unit_that_readings_take_is_turned_into_that_of_the_checks() -> None:
    """1 lbf is 4.448222 N (NIST SP 811, appendix B.8)."""
    found = measured_units("lbf 1 % + 5 step 2", ("lx", "kN"))
    assert found == {
        "kN": {
            "percent": 1.0,
            "absolute": pytest.approx(0.02224111),
            "resolution": pytest.approx(0.008896444),
        }
    }
    assert measured_units("kN 1 %", ("N",)) == {"kN": {"percent": 1.0}}
    with pytest.raises(InputError, match="found 'lbf', expected one such as"):
        measured_units("lbf 1 %", ("lx",))


async def test_of_instruments_that_nobody_used_nothing_is_claimed(
    logbook: Logbook, small: OpenJob
) -> None:
    async with running(logbook, small) as pilot:
        await pilot.press("u")
        await pilot.pause()
        assert told(pilot)[-1].startswith("No instrument is known yet")


async def test_hours_are_taken_with_their_unit_and_refused_where_they_stand(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        pilot.app.push_screen(visit(ready))
        await pilot.pause()
        await pilot.press(*"14 days", "enter", *"4 weeks", "enter")
        await pilot.pause()
        assert getattr(pilot.app.focused, "id", "") == "field-hours"
        await pilot.press(*"96 h", "enter")
        await pilot.pause()
        assert "96 hours run since this job began" in text_of(pilot, "#form-error")
        await pilot.press("enter", "enter")
        await pilot.pause()
    (begun,) = ready.state.visits
    assert (begun.body.name, begun.body.hours_run) == ("14 days", 96.0)


def test_what_is_stated_of_an_instrument_is_written_as_it_is_read(job: OpenJob) -> None:
    stated = {
        "percent": 2.0, "absolute": 0.1, "repeatability_percent": 0.3,
        "repeatability_absolute": 0.02, "resolution": 0.01,
    }  # fmt: skip
    parts = [{}, {"percent": 2.0}, {"absolute": 0.002}, {"resolution": 0.5}, stated]
    of = {unit: parts[n % len(parts)] for n, unit in enumerate(units_of(job))}
    assert len(of) >= len(parts)
    made = body(e.Instrument, key="m", name="Meter", serial="A7", accuracy=of)
    read = body(
        e.Instrument, key="m", name="Meter", serial="A7",
        accuracy=measured_units(units_text(made.accuracy)),
    )  # fmt: skip
    assert read == made


async def test_the_last_reason_is_offered_and_no_enter_alone_takes_it(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("x", *"no meter here", "enter")
        await pilot.pause()
        await pilot.press("j", "x", "enter")
        await pilot.pause()
        assert list(ready.state.skipped) == ["nine"]
        assert "Up takes: no meter here" in text_of(pilot, "#label-reason")
        await pilot.press("up", "enter")
        await pilot.pause()
    reasons = [slot[-1].body.reason for slot in ready.state.skipped.values()]
    assert reasons == ["no meter here", "no meter here"]
