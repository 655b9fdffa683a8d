"""What a model refuses is said in words for every pattern that a wall file, a checklist or an entry has."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest

from commission_tui.checks.model.definition import Stage
from commission_tui.logbook.entries.models import ENTRY
from commission_tui.text import NO_CONTROLS, NO_CONTROLS_IN_LINE
from commission_tui.validation_errors import shape
from commission_tui.wall.model.file_model import WallFile


def patterns(schema: Any) -> Iterator[str]:
    if isinstance(schema, dict):
        if isinstance(found := schema.get("pattern"), str):
            yield found
        yield from schema.get("patternProperties", ())
        for part in schema.values():
            yield from patterns(part)
    elif isinstance(schema, list):
        for part in schema:
            yield from patterns(part)


SCHEMAS = (WallFile.model_json_schema(), Stage.model_json_schema(), ENTRY.json_schema())
PATTERNS = sorted(set(patterns(list(SCHEMAS))) - {NO_CONTROLS, NO_CONTROLS_IN_LINE})


def test_there_are_patterns_to_be_told() -> None:
    assert len(PATTERNS) > 8


@pytest.mark.parametrize("pattern", PATTERNS)
def test_every_pattern_has_words_and_its_example_fits(pattern: str) -> None:
    words = shape(pattern)
    assert words
    _, there, example = words.partition("such as ")
    assert not there or re.fullmatch(pattern, example.strip('"'))
