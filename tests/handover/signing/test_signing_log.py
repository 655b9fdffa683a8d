"""Two who sign one file at once: nobody's signature is written over."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from commission_tui.errors import DocumentError
from commission_tui.handover.signing import signing_log
from commission_tui.handover.signing.document_signing import sign_document
from commission_tui.handover.signing.signing_log import sign_file
from tests.handover.helping import export_pdf
from tests.handover.signing_help import INTEGRATOR, SECOND, job, key


def test_a_signature_that_came_meanwhile_is_not_written_over(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "hall.pdf"
    path.write_bytes(export_pdf(job()))
    theirs = sign_document(path.read_bytes(), key(), SECOND)

    def slowly(*given: Any, **how: Any) -> bytes:
        signed = sign_document(*given, **how)
        path.write_bytes(theirs)
        return signed

    monkeypatch.setattr(signing_log, "sign_document", slowly)
    with pytest.raises(DocumentError, match="was changed while it was being signed; nothing was"):
        sign_file(path, key(), INTEGRATOR)
    assert path.read_bytes() == theirs
    monkeypatch.undo()
    sign_file(path, key(), INTEGRATOR)
    assert path.read_bytes().startswith(theirs)
