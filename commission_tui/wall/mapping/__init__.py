"""Mapping diagnosis: from what every cabinet shows to what was plugged or configured wrong."""

from commission_tui.wall.mapping.diagnosis import KINDS, diagnose
from commission_tui.wall.mapping.explanation import Cause, Diagnosis, Explanation
from commission_tui.wall.mapping.observation import (
    Observations,
    Reading,
    TableError,
    as_designed,
    from_rear,
    not_looked_at,
    parse_observations,
    read_looks,
    read_observations,
)
from commission_tui.wall.mapping.phrases import PHRASES, enter, is_phrase, named_readings
from commission_tui.wall.mapping.search import StoppedError

__all__ = [
    "KINDS",
    "PHRASES",
    "Cause",
    "Diagnosis",
    "Explanation",
    "Observations",
    "Reading",
    "StoppedError",
    "TableError",
    "as_designed",
    "diagnose",
    "enter",
    "from_rear",
    "is_phrase",
    "named_readings",
    "not_looked_at",
    "parse_observations",
    "read_looks",
    "read_observations",
]
