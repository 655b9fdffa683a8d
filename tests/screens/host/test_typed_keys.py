"""How what waits is said: in one row, keys by their names, and what is done with it never cut."""

from __future__ import annotations

import pytest
from textual import events
from textual.screen import Screen

from commission_tui.screens.host import waiting_words
from commission_tui.screens.host.questions import PendingQuestion
from commission_tui.screens.host.typed_keys import Typed, as_typed


@pytest.mark.parametrize(
    "waits",
    [
        waiting_words.WRONG,
        waiting_words.OTHER_HALF,
        waiting_words.LAST_TIME,
        waiting_words.ASKED,
        waiting_words.behind_half_typed("1234567.89"),
        waiting_words.strays("Luminance on white at house level"),
    ],
)
def test_what_is_done_with_what_waits_has_room_in_eighty_columns(waits: str) -> None:
    question = PendingQuestion(Screen(), words=waits)
    for n in range(12):
        question.keys += as_typed(f"0.3127\t0.32{n}")
    said = question.said(80)
    assert len(said) <= 80
    assert said.endswith(waits.partition("{}")[2])
    assert "(12 lines)" in said
    assert "\t" not in said


def test_keys_that_wait_are_called_as_they_are_printed() -> None:
    question = PendingQuestion(Screen(), keys=as_typed("601"))
    question.keys += [Typed(events.Key("ctrl+f", None), 0.0)]
    assert question.said(80) == "Typed on, and waits: 601 Enter  Ctrl+F. Esc drops it"
