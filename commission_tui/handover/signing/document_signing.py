"""Signing a document: PAdES baseline B, one signer after another, each over the whole file so far.

The first signature certifies the document and makes all signature fields; from then on the only
change that is allowed is the next signature. Each is an incremental update: not a byte of what was
signed before moves.
"""

from __future__ import annotations

import io
import tempfile
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from commission_tui import __version__
from commission_tui.errors import DocumentError
from commission_tui.handover.signing.keys import SigningKey, certificate_sha256
from commission_tui.handover.typeset.signature_block import (
    LONGEST_STATEMENT,
    SignatureBlock,
    signature_appearance,
)
from commission_tui.handover.typeset.signing_areas import COUNT, PdfRectangle
from commission_tui.handover.verify.parse_document import read_back
from commission_tui.handover.verify.pdf_reading import PROGRAM, OpenedPdf, as_document_error
from commission_tui.logbook.actions.signature_entry import is_client
from commission_tui.logbook.judging.acceptance_state import AcceptanceState
from commission_tui.logbook.state.fold import folded
from commission_tui.logbook.store.store import StoredFile
from commission_tui.text import clipped, counted, flat, quoted

if TYPE_CHECKING:
    from pyhanko.sign import PdfSigner
    from pyhanko.sign.timestamps import TimeStamper

    from commission_tui.handover.signing.pades import ArchivalUpdate

_TSA_WAIT_S = 20
_DRAFT = AcceptanceState.DRAFT.value
_DECIDED = frozenset(
    {AcceptanceState.ACCEPTED, AcceptanceState.WITH_EXCEPTIONS, AcceptanceState.REFUSED}
)


def field_name(number: int) -> str:
    return f"Signature{number}"


def sign_document(
    content: bytes,
    key: SigningKey,
    block: SignatureBlock,
    *,
    tsa: str | None = None,
    originals: Sequence[StoredFile] = (),
) -> bytes:
    """Return the document with one more signature.

    Its pages are set anew from its record before; what the first signature is put under is what was set.

    Parameters
    ----------
    content : bytes
        A handover document of this program, signed before or not.
    key : SigningKey
        The signer's key.
    block : SignatureBlock
        What the signature shows and says.
    tsa : str, optional
        Address of a time-stamp authority (RFC 3161); without one, no network is asked for anything.
    originals : sequence of StoredFile
        Photos and files of the job that the document was too small to carry.

    Raises
    ------
    DocumentError
        When the document was changed since it was made or signed, has no room for another
        signature, lists exceptions that the client who signs has not taken, or cannot be signed.
    """
    pdf = _signable(content, block.role, originals)
    state = pdf.note.get("state")
    block = replace(block, is_draft=state == _DRAFT, is_refused=state == AcceptanceState.REFUSED)
    taken = {str(one.field_name) for one in pdf.reader.embedded_signatures}
    free = [n for n in range(1, COUNT + 1) if field_name(n) not in taken]
    if not free:
        raise DocumentError(f"{pdf.name}: found {COUNT} signatures, expected at most that many")
    number = free[0]
    if len(block.statement) > LONGEST_STATEMENT:
        raise DocumentError(
            f"statement: found {len(block.statement)} characters, expected at most "
            f"{LONGEST_STATEMENT}"
        )
    boxes = _boxes(pdf)
    box = boxes[number - 1]
    look = signature_appearance(
        block,
        (box[2] - box[0], box[3] - box[1]),
        datetime.now(UTC),
        (str(pdf.note.get("fingerprint", "")), certificate_sha256(key.certificate)),
    )
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "block.pdf"
        path.write_bytes(look)
        return _signed(pdf.content, key, block, (number, boxes, path), tsa)


def is_draft(content: bytes) -> bool:
    """Whether a document says of itself that checks are incomplete or repairs unverified."""
    return OpenedPdf(content).note.get("state") == _DRAFT


def usual_statement(content: bytes, role: str, own: str = "") -> str:
    """Return what a signer says who says nothing else: `own`, or that it is taken as described.

    A client under a document of a wall that he refused says again why; nobody takes that.
    """
    if OpenedPdf(content).note.get("state") != AcceptanceState.REFUSED:
        return own or "Taken as described in this document."
    if is_client(role):
        signed = folded(Path("document"), read_back(content, "document").entries).signatures
        refused = [one.body.statement for one in signed if one.body.decision == "refuses"]
        return refused[-1] if refused else "Refused as described in this document."
    return own or "Seen as described in this document."


def exceptions_of(content: bytes) -> int:
    """Return how many exceptions a document lists, as on its pages."""
    listed = OpenedPdf(content).note.get("exceptions")
    if isinstance(listed, int):
        return listed
    faults = folded(Path("document"), read_back(content, "document").entries).faults
    return sum(fault.state == "accepted" for fault in faults)


def _signable(content: bytes, role: str, originals: Sequence[StoredFile]) -> OpenedPdf:
    """Refuse to put a signature under what does not hold already, or is not what is set here.

    Nor is a client's put under exceptions that nobody has taken. Returns what is to be signed: of an
    unsigned document, the one that its record gives.
    """
    from commission_tui.handover.verify.verification import verify_content

    pdf = OpenedPdf(content)
    note = pdf.note
    if is_client(role) and note.get("state") not in _DECIDED and (left := exceptions_of(content)):
        raise DocumentError(
            f"document: it lists {counted(left, 'exception')} that the client has not taken; let the "
            "client accept them first, write it again, and sign that"
        )
    found = verify_content(pdf, pdf.name, originals=originals)
    if not found.holds:
        raise DocumentError(f"document: not signed: it failed verification: {found.first_failure}")
    if not note:
        raise DocumentError("document: found no handover, expected one made by this program")
    pages = next(one for one in found.findings if one.what == "pages")
    if not pages.holds or found.set_again is None:
        raise DocumentError(
            f"document: not signed: its pages cannot be set again here: {pages.said}; export it again"
        )
    return pdf if found.signatures else found.set_again


def _boxes(pdf: OpenedPdf) -> list[PdfRectangle]:
    """Return the frames on the last page, as the document says them."""
    noted = pdf.note.get("signature_boxes_pt")
    try:
        boxes = [(float(a), float(b), float(c), float(d)) for a, b, c, d in noted or ()]
    except (TypeError, ValueError):
        boxes = []
    sound = all(0 <= b[0] < b[2] <= 2000 and 0 <= b[1] < b[3] <= 2000 for b in boxes)
    if len(boxes) != COUNT or not sound:
        raise DocumentError("document: found no room for signatures on its last page")
    return boxes


def _signed(
    content: bytes,
    key: SigningKey,
    block: SignatureBlock,
    place: tuple[int, list[PdfRectangle], Path],
    tsa: str | None,
) -> bytes:
    from commission_tui.handover.signing.pades import ArchivalUpdate

    number, boxes, look = place
    with as_document_error("document"):
        writer = ArchivalUpdate(io.BytesIO(content))
        if number == 1:
            _make_fields(writer, boxes)
        signer = _signer(number, key, block, look, tsa)
        out = io.BytesIO()
        try:
            signer.sign_pdf(writer, existing_fields_only=True, output=out)
        except Exception as error:
            if tsa is not None:
                words = clipped(flat(str(error)), 200) or type(error).__name__
                raise DocumentError(f"time stamp: {tsa}: {words}") from None
            raise
    return out.getvalue()


def _make_fields(writer: ArchivalUpdate, boxes: list[PdfRectangle]) -> None:
    """Make all fields at once: after the first signature, none may be added."""
    from pyhanko.sign.fields import SigFieldSpec, append_signature_field

    for number, box in enumerate(boxes, start=1):
        append_signature_field(
            writer,
            SigFieldSpec(
                field_name(number),
                on_page=-1,
                box=box,  # type: ignore[arg-type]  # points may be fractions
                readable_field_name=f"Signature {number} of this document",
            ),
        )
    writer.tag_fields()


def _signer(
    number: int, key: SigningKey, block: SignatureBlock, look: Path, tsa: str | None
) -> PdfSigner:
    from pyhanko.pdf_utils import layout
    from pyhanko.pdf_utils.content import ImportedPdfPage
    from pyhanko.sign import PdfSignatureMetadata, PdfSigner, SimpleSigner
    from pyhanko.sign.fields import MDPPerm, SigSeedSubFilter
    from pyhanko.sign.signers.pdf_byterange import BuildProps
    from pyhanko.stamp import StaticStampStyle

    from commission_tui.handover.signing.pades import Binding

    signer: SimpleSigner | None = SimpleSigner.load_pkcs12_data(
        key.pkcs12, other_certs=(), passphrase=key.passphrase
    )
    if signer is None:
        raise DocumentError("key: found one that cannot sign, expected RSA or EC")
    signer.signed_attr_prov_spec = Binding(signer)
    by = f"{block.name}, {block.organisation}" if block.organisation else block.name
    return PdfSigner(
        PdfSignatureMetadata(
            field_name=field_name(number),
            md_algorithm="sha256",
            name=by,
            reason=block.reason,
            certify=number == 1,
            subfilter=SigSeedSubFilter.PADES,
            docmdp_permissions=MDPPerm.FILL_FORMS,
            signer_key_usage=set(),
            app_build_props=BuildProps(name=PROGRAM, revision=__version__),
        ),
        signer,
        timestamper=_timestamper(tsa),
        stamp_style=StaticStampStyle(
            border_width=0,
            background=ImportedPdfPage(str(look)),
            background_layout=layout.SimpleBoxLayoutRule(
                x_align=layout.AxisAlignment.ALIGN_MID,
                y_align=layout.AxisAlignment.ALIGN_MID,
                margins=layout.Margins.uniform(0),
            ),
        ),
    )


def _timestamper(tsa: str | None) -> TimeStamper | None:
    if tsa is None:
        return None
    if not tsa.lower().startswith(("http://", "https://")):
        raise DocumentError(
            f"time stamp: found {quoted(tsa, 60)}, expected an address with http(s)"
        )
    from pyhanko.sign.timestamps import HTTPTimeStamper

    return HTTPTimeStamper(tsa, timeout=_TSA_WAIT_S)
