"""Clocks of laptops that differ, as the entries tell that follow each other or come from tomorrow."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from datetime import datetime, timedelta

from commission_tui.logbook.entries.chain import parent_digests
from commission_tui.logbook.entries.ids_and_clock import CLOCKS_APART, moment_of
from commission_tui.logbook.entries.models import Correction, Entry
from commission_tui.logbook.state.state import State
from commission_tui.text import counted
from commission_tui.wall.model.time_zones import at_the_wall


def clock_differences(
    chained: Sequence[tuple[Entry, str]], new: Collection[str], now: datetime
) -> Iterator[str]:
    """Say of whom the clock was wrong, by those of a job's entries that are new; a line a person.

    Parameters
    ----------
    chained
        All entries of the job with their digests.
    new
        Ids of those that are looked at.
    now
        By this computer's clock.
    """
    known = {digest: entry for entry, digest in chained}
    by_id = {entry.id: entry for entry, _ in chained}
    before: dict[tuple[str, str], timedelta] = {}
    future: dict[str, list[timedelta]] = {}
    for entry in (by_id[one] for one in new):
        at = datetime.fromisoformat(entry.at)
        if at - now > CLOCKS_APART:
            future.setdefault(entry.by, []).append(at - now)
        follows = [known[digest] for digest in parent_digests(entry) if digest in known]
        if isinstance(entry.body, Correction) and entry.body.corrects in by_id:
            follows.append(by_id[entry.body.corrects])
        for earlier in follows:
            pair = entry.by, earlier.by
            apart = datetime.fromisoformat(earlier.at) - at
            before[pair] = max(apart, before.get(pair, timedelta()))
    for by, ahead in sorted(future.items()):
        entries = counted(len(ahead), "entry", "entries")
        yield f"{entries} by {by} dated up to {_long(max(ahead))} after now: a clock was or is wrong"
    for (by, other), apart in sorted(before.items()):
        if apart > CLOCKS_APART:
            yield (
                f"{by} logged {_long(apart)} before what {other} had logged already, by the two clocks: "
                "one of them was wrong; times and 'the latest' of the two cannot be compared"
            )


def clock_behind(state: State, now: datetime) -> str:
    """Say so where this computer's clock is behind the latest entry; nothing where it is not."""
    latest = moment_of(state.last_id)
    if latest - now < CLOCKS_APART:
        return ""
    zone = state.wall.file.wall.time_zone
    here, there = (f"{at_the_wall(at.isoformat(), zone):%Y-%m-%d %H:%M}" for at in (now, latest))
    return (
        f"this clock says {here}, and there are entries up to {there}: one of the clocks is "
        "wrong; set this one right before anything is logged"
    )


def _long(time: timedelta) -> str:
    """Say a time in the unit that fits it."""
    minutes = round(time.total_seconds() / 60)
    if minutes < 120:
        return f"{minutes} min"
    return f"{minutes / 60:.0f} h" if minutes < 48 * 60 else counted(round(minutes / 1440), "day")
