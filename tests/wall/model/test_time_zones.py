"""Times in the job's own zone, by rules that come with the program."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from pydantic import ValidationError

from commission_tui.handover.figure_text import Printing
from commission_tui.wall.model.file_model import WallHead
from commission_tui.wall.model.time_zones import machine_zone, time_zone


def test_clocks_change_on_the_last_sunday_of_march() -> None:
    """Forward at 1 am GMT: the Summer Time Order 2002 (SI 2002/262), from memory."""
    zone = time_zone("Europe/London")
    before, after = (datetime(2026, 3, 29, hour, 59, tzinfo=UTC) for hour in (0, 1))
    assert (before.astimezone(zone).hour, after.astimezone(zone).hour) == (0, 2)


def test_times_are_printed_in_the_zone_of_the_job_with_its_name() -> None:
    at = "2026-06-09T23:30:00.000Z"
    assert Printing(us=False).moment(at) == "9 Jun 2026, 23:30 UTC"
    assert Printing(us=False, zone="Europe/London").moment(at) == "10 Jun 2026, 00:30 BST"
    assert Printing(us=True, zone="America/New_York").moment(at) == "Jun 9, 2026, 19:30 EDT"
    assert Printing(us=False, zone="Asia/Dubai").moment(at) == "10 Jun 2026, 03:30 UTC+04"
    zones = Printing(us=False, zone="Europe/London").zones([at, "2026-12-01T12:00:00.000Z"])
    assert zones.startswith(
        "Times are in the zone Europe/London: BST (UTC+0100) and GMT (UTC+0000)."
    )


@pytest.mark.parametrize("name", ["", "Atlantis", "../etc/passwd", "Europe", "Europe/", "UTC 1"])
def test_what_is_no_zone_is_refused_in_one_line(name: str) -> None:
    with pytest.raises(ValidationError, match="expected a time zone such as Europe/London"):
        WallHead(name="A", mounting="flown", time_zone=name)


def test_the_zone_of_a_machine_is_its_name_or_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TZ", "Europe/Lisbon")
    assert machine_zone() == "Europe/Lisbon"
    monkeypatch.setenv("TZ", "UTC")
    assert machine_zone() is None
