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
    if attack is pages.looks_made_anew_by_the_reader:
        return  # every program that signs takes it out
    try:
        signed = signed_unseen(content)
    except DocumentError:
        return  # so broken that nobody can sign it
    assert verify_content(signed, "document").proof == "changed"


def test_written_by_another_program_it_is_the_same_document() -> None:
    found = verify_content(rewritten(), "document")
    assert found.proof == "unproved", found.said
    assert "written by another program" in {one.what: one.said for one in found.findings}["pages"]


def test_what_is_signed_is_what_was_set() -> None:
    """Whatever another program made of the file, the signer puts his name under our bytes."""
    assert sign_document(rewritten(), key(), INTEGRATOR).startswith(unsigned())
