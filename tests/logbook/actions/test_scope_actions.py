"""Settings that are refused before they are logged."""

from __future__ import annotations

import pytest

from commission_tui.errors import InputError
from commission_tui.logbook.actions.scope_actions import change_setting
from commission_tui.logbook.logbook import OpenJob
from tests.logbook.four_checks import job as job  # the fixture


@pytest.mark.parametrize(
    ("setting", "place", "said"),
    [
        ("brightnes level", "wall", "brightness level"),
        ("mapping", "R99C1", "place"),
        ("mapping", "\x1b[31m", "place"),
        ("mapping", "nowhere", "place"),
    ],
)
def test_a_change_without_meaning_is_refused(
    job: OpenJob, setting: str, place: str, said: str
) -> None:
    with pytest.raises(InputError, match=said):
        change_setting(job, setting, "x", place=place)
