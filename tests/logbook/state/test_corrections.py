"""What a correction may say."""

from __future__ import annotations

import pytest

from commission_tui.errors import InputError
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.job import OpenJob


def test_a_correction_that_changes_nothing_is_refused(job: OpenJob) -> None:
    """Whoever meant another place would find the record corrected at this one, and the other as it was."""
    note = job.record(body(e.Note, text="as it was"))
    job.correct(note.id, body(e.Note, text="as it is"), "typed wrong")
    with pytest.raises(InputError, match="found what stands already"):
        job.correct(note.id, body(e.Note, text="as it is"), "typed wrong")
    job.correct(note.id, body(e.Note, text="as it was"), "right at first")
    assert [logged.body.text for logged in job.state.notes] == ["as it was"]
