"""Picking one of many by typing a part of it."""

from __future__ import annotations

import pytest
from textual import events
from textual.app import ComposeResult

from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.walk.pickers import check_picker
from commission_tui.screens.widgets.lists import ChoiceList
from commission_tui.screens.widgets.picker import Choice, Picker, matching_choices
from commission_tui.screens.widgets.screen_frame import Dialog
from commission_tui.screens.widgets.text_lines import Painted
from tests.screens.conftest import on_small_wall
from tests.screens.helping import running, text_of


def test_what_shows_the_words_comes_before_what_is_only_also_found_by_them() -> None:
    also = Choice("locks", (("Locks and bolts", ""),), also="Lowest torque of the locks")
    shown = Choice("marks", (("Torque marks", ""),))
    other = Choice("gaps", (("Gaps", ""),), also="Gap between module edges")
    assert matching_choices((also, shown, other), "torque") == (shown, also)
    assert matching_choices((also, shown, other), "LOCKS lowest") == (also,)
    assert matching_choices((also, shown, other), "") == (also, shown, other)
    rows = tuple(Choice(name, ((name, ""),)) for name in ("row 12", "row 1", "row 10"))
    assert matching_choices(rows, "row 1") == (rows[1], rows[0], rows[2])


def test_a_check_is_found_by_what_it_asks(job: OpenJob) -> None:
    picker = check_picker(job, "brightness")
    assert "lock-torque" in [c.key for c in matching_choices(picker._choices, "lowest torque")]


async def test_nothing_found_is_said(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f3", "ctrl+g")
        await pilot.pause()
        assert isinstance(pilot.app.screen, Picker)
        await pilot.press(*"xyz")
        await pilot.pause()
        assert "no match" in text_of(pilot, ".box-title")
        await pilot.press("backspace", "backspace", "backspace")
        await pilot.pause()
        assert "type to filter" in text_of(pilot, ".box-title")


async def test_what_does_not_fit_the_words_is_not_taken(logbook: Logbook, ready: OpenJob) -> None:
    """The line that is always there is no answer to a place that does not exist."""
    async with running(logbook, ready) as pilot:
        await pilot.press("f3", "pagedown", "pagedown", "pagedown", "ctrl+s", *"r9c9", "enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, Picker)
        await pilot.press("down", "enter")
        await pilot.pause()
        assert "R1C1" in text_of(pilot, "#asked")


def test_words_find_the_same_check_when_it_is_done() -> None:
    done = Choice("done", (("pass  Brightness at nine points", ""),), number=1)
    open_one = Choice("open", (("open  White at the house level, nine points", ""),), number=2)
    assert matching_choices((open_one, done), "nine") == (done, open_one)
    assert matching_choices((open_one, done), "") == (open_one, done)


def test_a_picker_narrows_by_every_word() -> None:
    choices = [
        Choice(str(n), ((text, ""),)) for n, text in enumerate(("White point", "Grey", "Point"))
    ]
    assert [c.key for c in matching_choices(choices, "POINT wh")] == ["0"]
    assert len(matching_choices(choices, "")) == 3


def test_a_word_is_looked_for_at_the_beginning_of_words_first() -> None:
    clip = Choice("clip", (("The client's clip played", ""),))
    late = Choice("sound", (("Sound against picture", ""),), called="lip sync")
    label = Choice("seats", (("Every seat", ""),), also="Lip movement seen")
    assert matching_choices((clip, label, late), "lip") == (late, clip, label)


def test_a_name_that_begins_with_what_is_typed_comes_first() -> None:
    warm = Choice("warm", (("open  Warm terminals after an hour of white", ""),))
    white = Choice("white", (("open  White point", ""),), name="White point")
    assert matching_choices((warm, white), "white") == (white, warm)


def test_the_best_match_comes_first_and_of_equals_what_does_not_apply_comes_last() -> None:
    none = Choice("white", (("n/a  White point", ""),), name="White point", last=True)
    elsewhere = Choice("warm", (("open  Warm white, then a pause", ""),), name="Warm white")
    assert matching_choices((elsewhere, none), "white p") == (none, elsewhere)
    other = Choice("whiter", (("open  White of the house", ""),), name="White of the house")
    assert matching_choices((none, other), "white") == (other, none)
    assert matching_choices((none, other), "") == (other, none)


def test_a_check_is_found_by_what_technicians_call_it(logbook: Logbook) -> None:
    job = on_small_wall(logbook, None)
    for word, check in {
        "nits": "brightness", "tiles": "cabinet-mapping", "dead pixel": "pixel-faults",
        "lux": "front-light", "lip": "sound-picture", "hot": "terminal-temperatures",
    }.items():  # fmt: skip
        found = matching_choices(check_picker(job, "")._choices, word)
        assert found[0].key == check, word


async def test_page_down_and_page_up_go_by_pages_as_in_every_list(
    logbook: Logbook, ready: OpenJob
) -> None:
    """Lines that take two rows count as two: the page ends where one sees it end."""
    lines = [Choice(str(n), ((f"{n} {'long ' * 20}", ""),)) for n in range(60)]
    async with running(logbook, ready) as pilot:
        await pilot.app.push_screen(Picker("Lines", lines))
        await pilot.pause()
        options = pilot.app.screen.query_one(ChoiceList)
        page = options.size.height // 2
        await pilot.press("pagedown")
        assert options.highlighted == page
        await pilot.press("end", "pagedown")
        assert options.highlighted == 59
        await pilot.press("pageup")
        assert options.highlighted in {59 - page, 58 - page}  # half a line may stand at the edge
        await pilot.press("home", "pageup")
        assert options.highlighted == 0
        await pilot.press(*"zzz", "pagedown", "pageup")  # no line is left
        assert options.highlighted is None


class Noting(Painted):
    """Notes how wide it was laid out."""

    def __init__(self) -> None:
        super().__init__()
        self.widths: list[int] = []

    def on_resize(self, event: events.Resize) -> None:
        self.widths.append(event.size.width)


class Box(Dialog[bool]):
    """A box with nothing but that."""

    def __init__(self) -> None:
        super().__init__()
        self.noting = Noting()

    def compose_box(self) -> ComposeResult:
        yield self.noting


@pytest.mark.parametrize(("size", "width"), [((80, 24), 78), ((112, 36), 94), ((100, 40), 98)])
async def test_a_box_has_its_width_from_the_first_paint_on(
    logbook: Logbook, ready: OpenJob, size: tuple[int, int], width: int
) -> None:
    """On a slow laptop a first width stood for half a second, beside it letters of what lies beneath."""
    async with running(logbook, ready, size=size) as pilot:
        box = Box()
        await pilot.app.push_screen(box)
        await pilot.pause()
        assert box.noting.widths == [width]
