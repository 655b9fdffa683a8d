"""Settings that are refused before they are logged."""

from __future__ import annotations

import pytest

from commission_tui.errors import InputError
from commission_tui.logbook.actions.scope_actions import change_setting
from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.wall.model.wall_model import Wall
from tests.logbook.four_checks import job as job  # the fixture


@pytest.mark.parametrize(
    ("typed", "place"),
    [
        ("delay line under the balcony", "Delay line under the balcony"),
        ("Wall", "wall"),
        ("r3c7", "R3C7"),
        ("p2", "P2"),
    ],
)
def test_a_place_is_known_by_its_name_however_it_is_typed(
    logbook: Logbook, demo_wall: Wall, typed: str, place: str
) -> None:
    job = logbook.create(
        by="A. Technician", name="n", client="c", integrator="i", wall_text=demo_wall.text
    )
    change_setting(job, "sound delay", "18 ms", place=typed)
    assert job.state.settings[-1].body.place == place


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
