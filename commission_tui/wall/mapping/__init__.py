"""Mapping diagnosis: from what every cabinet shows to what was plugged or configured wrong."""

from commission_tui.wall.mapping.configuration.search import StoppedError
from commission_tui.wall.mapping.diagnosis import diagnose
from commission_tui.wall.mapping.explanations.explanation import Cause, Diagnosis, Explanation
from commission_tui.wall.mapping.next_look.looks import NextLook
from commission_tui.wall.mapping.observed.answers import answers_from_rear, typed_answer
from commission_tui.wall.mapping.observed.observation import (
    Observations,
    Reading,
    TableError,
    from_rear,
    parse_looks,
    read_looks,
)
from commission_tui.wall.mapping.observed.phrases import (
    PHRASES,
    block_of,
    is_area,
    is_phrase,
    named_readings,
    spelt_out,
)

__all__ = [
    "PHRASES",
    "Cause",
    "Diagnosis",
    "Explanation",
    "NextLook",
    "Observations",
    "Reading",
    "StoppedError",
    "TableError",
    "answers_from_rear",
    "block_of",
    "diagnose",
    "from_rear",
    "is_area",
    "is_phrase",
    "named_readings",
    "parse_looks",
    "read_looks",
    "spelt_out",
    "typed_answer",
]
