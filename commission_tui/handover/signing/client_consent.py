"""A client's key under a document: only where the record says that he has decided."""

from __future__ import annotations

from commission_tui.errors import DocumentError
from commission_tui.handover.signing.document_signing import exceptions_of
from commission_tui.handover.verify.pdf_reading import OpenedPdf
from commission_tui.logbook.actions.signature_entry import is_client
from commission_tui.text import counted

_DECIDED = ("accepted", "accepted with exceptions", "refused")


def refuse_untaken(content: bytes, role: str) -> None:
    """Refuse a client's signature under a document whose exceptions nobody has taken.

    Raises
    ------
    DocumentError
        One line; says what to do first.
    """
    state = OpenedPdf(content).note.get("state")
    left = exceptions_of(content) if is_client(role) and state not in _DECIDED else 0
    if left:
        raise DocumentError(
            f"document: it lists {counted(left, 'exception')} that the client has not taken; let the "
            "client accept them first, write it again, and sign that"
        )
