"""Every attack on a document's pages is named, signed over or not, and nothing of it is ever signed."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import pikepdf
import pytest

from commission_tui.errors import DocumentError
from commission_tui.handover.signing import document_signing
from commission_tui.handover.signing.document_signing import sign_document
from commission_tui.handover.verify import verification
from commission_tui.handover.verify.pdf_reading import OpenedPdf
from commission_tui.handover.verify.verification import verify_content
from commission_tui.handover.verify.verification_result import Verification
from tests.attacks import pages
from tests.attacks.book import Attack, attacks
from tests.handover.signing_help import INTEGRATOR, SECOND, key, key_made, unsigned

ASKED_FOR = 48
SIGNED_OVER = (
    *(pages.page_painted_over, pages.stamp_on_a_page, pages.link_with_a_look),
    *(pages.two_files_of_one_name, pages.another_file_in_unicode),
    *(pages.associated_files_other_than_the_named, pages.link_turned_elsewhere),
    *(pages.photo_of_another_place, pages.page_left_out, pages.pages_turned_from_above),
    *(pages.page_that_hangs_elsewhere, pages.page_that_acts_when_it_opens, pages.script_on_opening),
    *(pages.script_by_name, pages.form_of_another_kind, pages.bookmark_that_starts_a_program),
    *(pages.read_aloud_otherwise, pages.another_title, pages.note_without_a_fingerprint),
)
"""One of each kind, as what finds them tells them apart: a signature over it changes nothing for the others."""


def rewritten(attack: Attack | None = None) -> bytes:
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(unsigned())) as pdf:
        if attack is not None:
            attack(pdf)
        pdf.save(out, static_id=True)
    return out.getvalue()


def signed_unseen(content: bytes) -> bytes:
    """Sign as a program would that does not look first."""
    boxes = document_signing._boxes(OpenedPdf(unsigned()))
    look = Path(key_made().key).with_name("look.pdf")
    look.write_bytes(unsigned())
    return document_signing._signed(content, key(), SECOND, (1, boxes, look), None)


@pytest.fixture
def looked_at(monkeypatch: pytest.MonkeyPatch) -> list[Verification]:
    """What signing finds when it verifies, which is what `verify_content` finds."""
    found: list[Verification] = []

    def noted(*what: Any, **how: Any) -> Verification:
        found.append(verify_content(*what, **how))
        return found[-1]

    monkeypatch.setattr(verification, "verify_content", noted)
    return found


def test_the_book_has_as_many_as_were_asked_for() -> None:
    assert len(attacks(pages)) >= ASKED_FOR


@pytest.mark.parametrize("attack", attacks(pages), ids=lambda attack: attack.__name__)
def test_it_is_named_and_not_signed(attack: Attack, looked_at: list[Verification]) -> None:
    content = rewritten(attack)
    with pytest.raises(DocumentError, match="not signed"):
        sign_document(content, key(), INTEGRATOR)
    (found,) = looked_at
    assert found.proof == "changed", found.said


@pytest.mark.parametrize("attack", SIGNED_OVER, ids=lambda attack: attack.__name__)
def test_signed_over_it_is_named_all_the_same(attack: Attack) -> None:
    signed = signed_unseen(rewritten(attack))
    assert verify_content(signed, "document").proof == "changed"


def test_written_by_another_program_it_is_the_same_document() -> None:
    found = verify_content(rewritten(), "document")
    assert found.proof == "unproved", found.said
    assert "written by another program" in {one.what: one.said for one in found.findings}["pages"]


def test_what_is_signed_is_what_was_set() -> None:
    """Whatever another program made of the file, the signer puts his name under our bytes."""
    assert sign_document(rewritten(), key(), INTEGRATOR).startswith(unsigned())
