"""Mapping diagnosis: from what every cabinet shows to what was plugged or configured wrong."""

from commission_tui.wall.mapping.diagnosis import KINDS, diagnose
from commission_tui.wall.mapping.explanation import Cause, Diagnosis, Explanation
from commission_tui.wall.mapping.observation import (
    Observations,
    Reading,
    as_designed,
    enter,
    from_rear,
    not_looked_at,
    parse_observations,
    read_observations,
)
from commission_tui.wall.mapping.search import StoppedError

__all__ = [
    "KINDS",
    "Cause",
    "Diagnosis",
    "Explanation",
    "Observations",
    "Reading",
    "StoppedError",
    "as_designed",
    "diagnose",
    "enter",
    "from_rear",
    "not_looked_at",
    "parse_observations",
    "read_observations",
]
