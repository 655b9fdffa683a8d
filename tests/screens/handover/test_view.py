"""The handover as text: state, roles, formats."""

from __future__ import annotations

from dataclasses import replace

import pytest

from commission_tui.errors import InputError
from commission_tui.handover.outline import outline
from commission_tui.handover.progress_steps import FORMATS
from commission_tui.logbook.logbook import OpenJob
from commission_tui.screens.handover import view as handover_view
from commission_tui.screens.terminal.styled_text import (
    plain_line,
)


@pytest.mark.parametrize("state", ["draft", "ready to sign", "accepted"])
def test_the_state_of_the_handover_is_said_first(ready: OpenJob, state: str) -> None:
    stands = outline(ready)
    shown = handover_view.left_lines(replace(stands, state=state))
    assert plain_line(shown[0]) == f"The handover: {state}"
    assert stands.state == "draft"


def test_roles_and_formats_are_read_from_few_letters() -> None:
    assert handover_view.role_of("2") == "client"
    assert handover_view.role_of("con") == "consultant"
    assert handover_view.role_of("Witness") == "witness"
    assert handover_view.role_of("c") == "c"
    assert handover_view.formats_of("pdf, JSON pdf") == ("pdf", "json")
    assert handover_view.formats_of("png usual")[:3] == ("png", "pdf", "json")
    assert set(handover_view.formats_of("usual")) == set(FORMATS) - {"png"}
    for typed in ("", "docx"):
        with pytest.raises(InputError, match="formats: found"):
            handover_view.formats_of(typed)
