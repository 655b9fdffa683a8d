"""What is offered in a field: typing replaces it and it comes back; every other key is for one character."""

from __future__ import annotations

import pytest
from textual import events
from textual.app import App, ComposeResult

from commission_tui.screens.widgets.plain_input import PlainInput


class _Field(App[None]):
    def compose(self) -> ComposeResult:
        yield PlainInput(id="field")


@pytest.mark.parametrize(
    ("keys", "left"),
    [
        (("backspace",), "12o"),
        (("left", "backspace", "0"), "1204"),
        (("home", "delete"), "2o4"),
        (("end", *"5"), "12o45"),
        (tuple("oh"), "oh"),
        ((*"oh", "ctrl+z"), "12o4"),
        ((*"oh", "ctrl+z", "backspace"), "12o"),
        ((*"oh", "ctrl+z", "ctrl+z"), "oh"),
        (("ctrl+z",), "12o4"),
        (("ctrl+u",), ""),
    ],
)
async def test_one_key_is_one_character_but_for_a_letter_typed_at_once(
    keys: tuple[str, ...], left: str
) -> None:
    app = _Field()
    async with app.run_test() as pilot:
        field = app.query_one(PlainInput)
        field.value = "12o4"
        field.focus()
        field.offer()
        await pilot.pause()
        await pilot.press(*keys)
        assert field.value == left


async def test_what_a_person_selected_goes_as_a_whole() -> None:
    app = _Field()
    async with app.run_test() as pilot:
        field = app.query_one(PlainInput)
        field.value = "12o4"
        field.focus()
        await pilot.pause()
        await pilot.press("end", "shift+home", "backspace")
        assert field.value == ""


@pytest.mark.parametrize(
    ("pasted", "left"),
    [
        ("col1\tcol2", "col1  col2XYZ"),
        ("a\x1bb", "a[U+001B]bXYZ"),
        ("a\x0bb\u2028c", "a[U+000B]b[U+2028]cXYZ"),
    ],
)
async def test_what_is_typed_behind_a_paste_stands_behind_it(pasted: str, left: str) -> None:
    """Nor does a character that breaks a line for Python end what is taken of it."""
    app = _Field()
    async with app.run_test() as pilot:
        field = app.query_one(PlainInput)
        field.focus()
        await pilot.pause()
        field.post_message(events.Paste(pasted))
        await pilot.pause()
        await pilot.press(*"XYZ")
        assert field.value == left


async def test_what_is_too_long_is_not_taken_and_that_is_said_once() -> None:
    app = _Field()
    async with app.run_test() as pilot:
        field = app.query_one(PlainInput)
        field.focus()
        await pilot.pause()
        field.post_message(events.Paste("x" * 4001))
        await pilot.pause()
        field.post_message(events.Paste("x" * 4001))
        await pilot.pause()
        assert field.value == ""
        said = [note.message for note in app._notifications]
        assert said == ["Not taken: this field holds 4000 characters"]
