"""The time zone in which a job's times are printed; entries themselves stay in UTC.

The rules come with the program (`tzdata`, the IANA time zone database), not from the machine, so that
the same record prints the same times everywhere.
"""

from __future__ import annotations

import os
import re
from datetime import UTC, date, datetime, tzinfo
from functools import lru_cache
from importlib import resources
from pathlib import Path
from zoneinfo import ZoneInfo

_KEY = re.compile(r"[A-Za-z][A-Za-z0-9_+-]*(/[A-Za-z0-9_+-]+)*")


@lru_cache(maxsize=64)
def time_zone(key: str) -> ZoneInfo:
    """Return a zone of the IANA database by its name, such as ``Europe/London``.

    Raises
    ------
    ValueError
        When the database has none of that name.
    """
    parts = key.split("/") if _KEY.fullmatch(key) else ["no zone"]
    try:
        with resources.files("tzdata").joinpath("zoneinfo", *parts).open("rb") as stream:
            return ZoneInfo.from_file(stream, key=key)
    except (OSError, ValueError):
        raise ValueError(
            f"found {key[:40]!r}, expected a time zone such as Europe/London"
        ) from None


def at_the_wall(at: str, key: str | None, without: tzinfo | None = None) -> datetime:
    """Return an entry's time on the clock at the wall; where no zone is stated, in that of `without`.

    None is this computer's zone: for a screen, never for what every computer must say alike.
    """
    return datetime.fromisoformat(at).astimezone(without if key is None else time_zone(key))


def day_at_the_wall(at: str, key: str | None) -> date:
    """Return the day of an entry's time at the wall; where no zone is stated, in UTC."""
    return at_the_wall(at, key, UTC).date()


def machine_zone() -> str | None:
    """Return the name of this machine's time zone, where it says one that is known here."""
    named = [os.environ.get("TZ", "").lstrip(":")]
    link = Path("/etc/localtime")
    if link.is_symlink():
        named.append(str(link.resolve()).rpartition("zoneinfo/")[2])
    for name in named:
        if name.rpartition("/")[2] in {"UTC", "Universal", "Zulu"}:
            return None  # a machine kept in UTC says nothing of where the wall is
        try:
            return time_zone(name).key
        except ValueError:
            continue
    return None
