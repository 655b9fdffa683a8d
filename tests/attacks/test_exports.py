"""Every change of an export in JSON is named, and none is taken into a logbook."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import pytest

from commission_tui.errors import DocumentError
from commission_tui.handover.verify.document_import import import_document
from commission_tui.handover.verify.verification import verify_content
from commission_tui.logbook.logbook import Logbook
from tests.attacks import exports
from tests.attacks.book import Attack, attacks
from tests.handover.helping import export_json
from tests.handover.signing_help import folder, short_job

ASKED_FOR = 25


@cache
def sound() -> bytes:
    place = folder() / "export"
    place.mkdir()
    job = short_job(place)
    job.read("canvas-rasters", "media_width_px", "wall", 2400.0, confirmed=True)
    job.read("canvas-rasters", "media_height_px", "wall", 1200.0, confirmed=True)
    return export_json(job)


def test_the_book_has_as_many_as_were_asked_for() -> None:
    assert len(attacks(exports)) >= ASKED_FOR


@pytest.mark.parametrize("attack", attacks(exports), ids=lambda attack: attack.__name__)
def test_it_is_named_and_not_taken_in(attack: Attack, tmp_path: Path) -> None:
    content: bytes = attack(sound())
    assert content != sound()
    assert verify_content(content, "hall.json").proof == "changed"
    path = tmp_path / "hall.json"
    path.write_bytes(content)
    book = Logbook(tmp_path / "a.db")
    with pytest.raises(DocumentError):
        import_document(book, path)
    assert book.jobs() == []
    book.close()


@pytest.mark.parametrize("indent", [None, 1, 4])
def test_laid_out_otherwise_it_is_the_same(indent: int | None) -> None:
    content = json.dumps(json.loads(sound()), indent=indent).encode()
    found = verify_content(content, "hall.json")
    assert found.proof == "unproved", found.said


def test_another_version_may_judge_otherwise() -> None:
    made = json.loads(sound())
    made["program"] = "0.0.9"
    made["verdicts"][0]["reason"] = "as that version said it"
    found = verify_content(json.dumps(made).encode(), "hall.json")
    assert found.proof == "unproved"
    assert "is otherwise here; it was made by 0.0.9" in found.findings[-1].said
