"""A correction list that was kept comes back as it was; what anybody wrote into the file does no harm."""

from __future__ import annotations

import json

import pytest

from commission_tui.logbook.logbook import OpenJob
from commission_tui.screens.mapping.kept_list import taken_up, to_keep
from tests.screens.mapping.test_view import crossed


def test_a_list_comes_back_as_it_was_kept(job: OpenJob) -> None:
    chosen = crossed(job)
    assert taken_up(to_keep(chosen), job.state.wall) == chosen
    assert to_keep(None) == {}


@pytest.mark.parametrize(
    "kept",
    [
        {},
        {"list": "no JSON"},
        {"list": "[]"},
        {"list": "[" * 100_000},
        {"list": json.dumps({"steps": 3})},
        {"list": json.dumps({"steps": [{"text": "pull"}]})},
    ],
)
def test_what_is_no_list_is_none(job: OpenJob, kept: dict[str, str]) -> None:
    assert taken_up(kept, job.state.wall) is None


def test_a_list_with_a_cabinet_that_is_not_there_is_none(job: OpenJob) -> None:
    found = json.loads(to_keep(crossed(job))["list"])
    found["look_after"].append([99, 1])
    assert taken_up({"list": json.dumps(found)}, job.state.wall) is None
