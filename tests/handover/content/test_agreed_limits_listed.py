"""A limit that was agreed anew stands under its own date, with what it was before."""

from __future__ import annotations

from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.content.limits_and_settings import limits
from commission_tui.handover.content.sections import Listing, Section
from commission_tui.logbook.judging.agreed_limits import limit_body
from commission_tui.logbook.logbook import OpenJob
from tests.screens.helping import metered


def listing(section: Section) -> list[tuple[str, ...]]:
    assert isinstance(section.body, Listing)
    return [tuple(map(str, row)) for row in section.body.rows]


def test_a_limit_agreed_after_the_first_reading_is_told_as_that(job: OpenJob) -> None:
    metered(job).read("brightness", "luminance_cd_m2", "point 1", 600.0)
    said = {"source": "Addendum 2", "agreed_by": "M. Hollis", "reason": "brighter hall"}
    job.record(limit_body(job.state, "brightness", "mean_cd_m2", low=620, high=None, **said))
    inputs = Context(job)
    table, _, changed = limits(inputs).sections  # and none of what moved in a document alone
    title = job.state.checklist.check("brightness").title
    at = next(n for n, row in enumerate(listing(table)) if row[0] == title)
    mean, other, *_ = listing(table)[at:]
    assert mean[3].startswith("agreed anew ")
    assert other[3]
    assert not other[3].startswith("agreed anew")
    ((_, before, now, *_),) = listing(changed)
    assert (before, now) == ("540 to 660 cd/m²", "at least 620 cd/m²")
