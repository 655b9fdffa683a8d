"""How what waits is said: in one row, keys by their names, and what is done with it never cut."""

from __future__ import annotations

import pytest
from textual import events
from textual.screen import Screen

from commission_tui.screens.host.typed_keys import Hold, Typed, as_typed
from commission_tui.screens.walk import input_prompt


@pytest.mark.parametrize(
    "waits",
    [
        input_prompt.WRONG,
        input_prompt.PAIR,
        input_prompt.LEFT,
        input_prompt.ASKED,
        input_prompt.waits_behind("1234567.89"),
        input_prompt.strays_wait("Luminance on white at house level"),
    ],
)
def test_what_is_done_with_what_waits_has_room_in_eighty_columns(waits: str) -> None:
    hold: Hold = Hold(Screen(), waits=waits)
    for n in range(12):
        hold.typed += as_typed(f"0.3127\t0.32{n}")
    said = hold.said(80)
    assert len(said) <= 80
    assert said.endswith(waits.partition("{}")[2])
    assert "(12 lines)" in said
    assert "\t" not in said


def test_keys_that_wait_are_called_as_they_are_printed() -> None:
    hold: Hold = Hold(Screen(), typed=as_typed("601"))
    hold.typed += [Typed(events.Key("ctrl+f", None), 0.0)]
    assert hold.said(80) == "Typed on, and waits: 601 Enter  Ctrl+F. Esc drops it"
