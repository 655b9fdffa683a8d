"""Attacks on who signed: each returns a file, and what its reader has besides."""

from __future__ import annotations

import io
import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path

import pikepdf
from asn1crypto import cms, core
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import BestAvailableEncryption, Encoding, pkcs12
from cryptography.x509.oid import NameOID
from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.sign import PdfSignatureMetadata, SimpleSigner, fields, signers
from pyhanko.stamp import TextStampStyle

from commission_tui.handover.signing import document_signing
from commission_tui.handover.signing.document_signing import sign_document
from commission_tui.handover.signing.keys import SigningKey, new_key, read_key
from commission_tui.handover.signing.signing_log import log_signature
from commission_tui.handover.verify.pdf_reading import OpenedPdf
from commission_tui.logbook.entries import models as e
from tests.handover.helping import export_pdf
from tests.handover.signing_help import (
    INTEGRATOR,
    PASSPHRASE,
    SECOND,
    folder,
    key,
    key_made,
    short_job,
    signed_once,
    signed_twice,
    unsigned,
)


@dataclass(frozen=True)
class Tried:
    """A file, and what whoever verifies it has besides."""

    content: bytes
    trusted: Sequence[Path] = ()
    database: Path | None = None


def bytes_added_at_the_end() -> Tried:
    """Something that only another reader finds."""
    return Tried(signed_twice() + b"\n")


def page_turned_after_signing() -> Tried:
    """A page is changed, and the signature before it stays sound."""
    return Tried(_updated(signed_twice(), _turn))


def page_turned_between_two_signatures() -> Tried:
    """The second signer's file is whole, and yet it is not what the first one signed."""
    return Tried(_signed_unseen(_updated(signed_once(), _turn), _other_key(SECOND.name), 2))


def page_turned_and_signed_by_the_first() -> Tried:
    """The only signature covers a page that the record does not give, bytes of the program before it."""
    return Tried(_signed_unseen(_updated(unsigned(), _turn), key(), 1))


def page_turned_and_signed_in_one_update() -> Tried:
    """The same, in the update that brings the signature."""
    return Tried(_by_another_program(unsigned(), _other_key(), first=_turn))


def pages_turned_from_above_and_signed_in_one_update() -> Tried:
    """The same, where no page says so: the tree of pages does."""
    return Tried(_by_another_program(unsigned(), _other_key(), first=_turn_all))


def note_pinned_and_signed_in_one_update() -> Tried:
    """A note on a page comes with the signature."""
    return Tried(_by_another_program(unsigned(), key(), first=_pin))


def script_and_signed_in_one_update() -> Tried:
    """A script comes with the signature."""
    return Tried(_by_another_program(unsigned(), key(), first=_script))


def note_pinned_after_a_signature_that_allows_it() -> Tried:
    """The first signer allows notes (P 3), and pins one later."""
    first = _by_another_program(unsigned(), key(), allows=fields.MDPPerm.ANNOTATE)
    return Tried(_updated(first, _pin))


def key_of_the_same_name() -> Tried:
    """Whoever makes a key with the firm's name signs for the firm."""
    return Tried(sign_document(unsigned(), _other_key(INTEGRATOR.name), INTEGRATOR), _trust())


def signed_anew_with_a_key_of_the_same_name() -> Tried:
    """A record with other readings, its pages set from it, signed for the firm."""
    other = short_job(_folder("anew"))
    other.record(e.Note(text="Everything was found in order."))
    return Tried(sign_document(export_pdf(other), _other_key(), INTEGRATOR), _trust())


def client_signed_with_the_attackers_key() -> Tried:
    """The firm's signature is real, the client's is not."""
    return Tried(sign_document(signed_once(), _other_key(SECOND.name), SECOND), _trust())


def certificate_made_with_a_trusted_key() -> Tried:
    """Whoever has one trusted key makes one for the client with it."""
    return Tried(sign_document(unsigned(), _issued_by_a_signer(), SECOND), _trust())


def certificate_of_the_past() -> Tried:
    """A key that is no longer to be used signs today."""
    lapsed, path = _lapsed()
    return Tried(sign_document(unsigned(), lapsed, INTEGRATOR), [path])


def no_signature_at_all() -> Tried:
    """The document before anybody signed passes for the signed one."""
    return Tried(unsigned(), _trust())


def signatures_taken_off() -> Tried:
    """The same pages and record, rewritten without what was signed."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(signed_twice())) as pdf:
        del pdf.Root.AcroForm, pdf.Root.Perms
        del pdf.pages[-1].Annots
        pdf.save(out)
    return Tried(out.getvalue(), _trust())


def signatures_taken_off_half() -> Tried:
    """The fields are gone and the signatures' containers are still there."""
    return Tried(signed_once().replace(b"/AcroForm", b"/AcroFrom"))


def cut_back_to_the_first_signature() -> Tried:
    """The client's signature, with the exceptions he took, is gone."""
    job = short_job(_folder("cut"))
    first = sign_document(export_pdf(job), key(), INTEGRATOR)
    log_signature(job, first, INTEGRATOR)
    second = sign_document(first, _other_key(SECOND.name), SECOND)
    log_signature(job, second, SECOND)
    return Tried(first, database=job.database)


def cut_back_to_before_any_signature() -> Tried:
    """Nobody ever signed."""
    job = short_job(_folder("before"))
    content = export_pdf(job)
    log_signature(job, sign_document(content, key(), INTEGRATOR), INTEGRATOR)
    return Tried(content, database=job.database)


def signature_emptied_by_an_update() -> Tried:
    """A signed frame counts as not signed yet."""

    def empty(writer: IncrementalPdfFileWriter) -> None:
        field = writer.root["/AcroForm"]["/Fields"][1]
        del field["/V"]
        writer.update_container(field)

    return Tried(_updated(signed_twice(), empty))


def something_hidden_in_the_container() -> Tried:
    """Bytes that no signature covers carry something."""
    content = bytearray(signed_once())
    end = content.rindex(b"0>") - 20
    content[end : end + 8] = b"DEADBEEF"
    return Tried(bytes(content))


def certificate_added_to_the_container() -> Tried:
    """A certificate that nobody signed for stands beside the signer's."""

    def add(signed: cms.SignedData) -> None:
        other = _other_key().certificate.public_bytes(Encoding.DER)
        signed["certificates"].append(cms.CertificateChoices.load(other))

    return Tried(_container_changed(add))


def attribute_added_to_the_container() -> Tried:
    """An attribute that nobody signed says something."""

    def add(signed: cms.SignedData) -> None:
        signed["signer_infos"][0]["unsigned_attrs"] = cms.CMSAttributes(
            [cms.CMSAttribute({"type": "1.3.6.1.4.1.99999.1", "values": [core.OctetString(b"x")]})]
        )

    return Tried(_container_changed(add))


def signature_of_another_document() -> Tried:
    """The firm's real signature of another job under this one."""
    other = short_job(_folder("other"))
    other.record(e.Note(text="another evening"))
    donor = sign_document(export_pdf(other), key(), INTEGRATOR)
    start, end = _container(signed_once())
    begun, _ = _container(donor)
    return Tried(signed_once()[:start] + donor[begun : begun + end - start] + signed_once()[end:])


def signature_that_covers_less() -> Tried:
    """The beginning of the file may be changed at will."""
    return Tried(signed_once().replace(b"/ByteRange [0 ", b"/ByteRange [1 "))


def look_over_a_page() -> Tried:
    """The look of a signature covers the figures of the first page."""
    return Tried(
        _by_another_program(signed_once(), _other_key(SECOND.name), page=0, box=(50, 300, 500, 700))
    )


def look_over_another_signature() -> Tried:
    """The look of a further signature covers the client's exceptions."""
    box = tuple(int(x) for x in document_signing._boxes(OpenedPdf(unsigned()))[0])
    return Tried(_by_another_program(signed_once(), _other_key(SECOND.name), page=-1, box=box))


def look_over_the_heading_of_the_signatures() -> Tried:
    """What says how to read the frames is not seen."""
    return Tried(
        _by_another_program(
            signed_once(), _other_key(SECOND.name), page=-1, box=(50, 740, 500, 800)
        )
    )


def version_turned_and_pages_changed() -> Tried:
    """Since another version cannot set the pages, they are not compared object by object."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(unsigned())) as pdf:
        note = pdf.attachments["handover.json"].obj.EF.F
        said = json.loads(note.read_bytes())
        note.write(json.dumps({**said, "program": "0.0.9"}).encode())
        content = pdf.pages[1].Contents.read_bytes()
        pdf.pages[1].Contents = pdf.make_stream(content[: len(content) // 2])
        pdf.save(out)
    return Tried(_signed_unseen(out.getvalue(), _other_key(), 1), _trust())


def _folder(name: str) -> Path:
    made = folder() / name
    made.mkdir(exist_ok=True)
    return made


def _trust() -> list[Path]:
    return [key_made().certificate]


def _other_key(name: str = INTEGRATOR.name) -> SigningKey:
    return _key_named(name)


@cache
def _key_named(name: str) -> SigningKey:
    path = folder() / f"other {name}.p12"
    new_key(path, PASSPHRASE, name=name, organisation="Tarnside Integration")
    return read_key(path, PASSPHRASE)


@cache
def _issued_by_a_signer() -> SigningKey:
    """Return a key for the client whose certificate the integrator's key has signed."""
    issuer, own, _ = pkcs12.load_key_and_certificates(key().pkcs12, key().passphrase)
    assert isinstance(issuer, ec.EllipticCurvePrivateKey)
    assert own is not None
    private = ec.generate_private_key(ec.SECP256R1())
    made = _builder(SECOND.name, private, datetime.now(UTC), 365)
    made = made.issuer_name(own.subject)
    return _packed(private, made.sign(issuer, hashes.SHA256()), [own])


@cache
def _lapsed() -> tuple[SigningKey, Path]:
    private = ec.generate_private_key(ec.SECP256R1())
    made = _builder(INTEGRATOR.name, private, datetime.now(UTC) - timedelta(days=700), 365)
    own = made.issuer_name(_name(INTEGRATOR.name)).sign(private, hashes.SHA256())
    path = folder() / "lapsed.crt"
    path.write_bytes(own.public_bytes(Encoding.PEM))
    return _packed(private, own, []), path


def _builder(
    name: str, private: ec.EllipticCurvePrivateKey, begun: datetime, days: int
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(_name(name))
        .public_key(private.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(begun - timedelta(hours=1))
        .not_valid_after(begun + timedelta(days=days))
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
    )


def _name(name: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name)])


def _packed(
    private: ec.EllipticCurvePrivateKey, own: x509.Certificate, others: list[x509.Certificate]
) -> SigningKey:
    secret = PASSPHRASE.encode()
    packed = pkcs12.serialize_key_and_certificates(
        b"x", private, own, others, BestAvailableEncryption(secret)
    )
    return SigningKey(packed, secret, own)


Change = Callable[[IncrementalPdfFileWriter], None]


def _turn(writer: IncrementalPdfFileWriter) -> None:
    page = writer.find_page_for_modification(1)[0].get_object()
    page["/Rotate"] = generic.NumberObject(180)
    writer.update_container(page)


def _turn_all(writer: IncrementalPdfFileWriter) -> None:
    pages = writer.root["/Pages"]
    pages["/Rotate"] = generic.NumberObject(180)
    writer.update_container(pages)


def _pin(writer: IncrementalPdfFileWriter) -> None:
    name = generic.pdf_name
    page = writer.find_page_for_modification(1)[0].get_object()
    box = generic.ArrayObject([generic.NumberObject(n) for n in (100, 100, 120, 120)])
    note = generic.DictionaryObject(
        {
            name("/Type"): name("/Annot"),
            name("/Subtype"): name("/Text"),
            name("/Rect"): box,
            name("/Contents"): generic.pdf_string("no exceptions"),
        }
    )
    listed = page["/Annots"] if "/Annots" in page else generic.ArrayObject()
    listed.append(writer.add_object(note))
    page["/Annots"] = listed
    writer.update_container(page)
    if listed.container_ref is not None:
        writer.update_container(listed)


def _script(writer: IncrementalPdfFileWriter) -> None:
    name = generic.pdf_name
    writer.root["/OpenAction"] = generic.DictionaryObject(
        {name("/S"): name("/JavaScript"), name("/JS"): generic.pdf_string("app.alert(1)")}
    )
    writer.update_root()


def _updated(content: bytes, change: Change) -> bytes:
    writer = IncrementalPdfFileWriter(io.BytesIO(content))
    change(writer)
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def _signed_unseen(content: bytes, signing: SigningKey, number: int) -> bytes:
    """Sign as this program does, without looking first."""
    boxes = document_signing._boxes(OpenedPdf(unsigned()))
    look = folder() / "look.pdf"
    look.write_bytes(unsigned())
    block = replace(SECOND, statement="Taken.")
    return document_signing._signed(content, signing, block, (number, boxes, look), None)


def _by_another_program(
    content: bytes,
    signing: SigningKey,
    *,
    first: Change = lambda _: None,
    allows: fields.MDPPerm | None = None,
    page: int = 0,
    box: tuple[int, ...] | None = None,
) -> bytes:
    """Sign as a program that knows nothing of handovers, in a field of its own."""
    writer = IncrementalPdfFileWriter(io.BytesIO(content))
    first(writer)
    signer = SimpleSigner.load_pkcs12_data(
        signing.pkcs12, other_certs=(), passphrase=signing.passphrase
    )
    about = PdfSignatureMetadata(
        field_name="Other",
        md_algorithm="sha256",
        subfilter=fields.SigSeedSubFilter.PADES,
        signer_key_usage=set(),
        certify=allows is not None,
        docmdp_permissions=allows or fields.MDPPerm.FILL_FORMS,
    )
    spec = fields.SigFieldSpec("Other", on_page=page, box=box)  # type: ignore[arg-type]
    out = io.BytesIO()
    signers.PdfSigner(
        about, signer, new_field_spec=spec, stamp_style=TextStampStyle() if box else None
    ).sign_pdf(writer, output=out)
    return out.getvalue()


def _container(content: bytes) -> tuple[int, int]:
    start = content.index(b"/Contents <") + 10
    return start, content.index(b">", start) + 1


def _container_changed(change: Callable[[cms.SignedData], None]) -> bytes:
    content = signed_once()
    start, end = _container(content)
    room = end - start - 2
    message = cms.ContentInfo.load(
        bytes.fromhex(content[start + 1 : end - 1].decode()), strict=False
    )
    change(message["content"])
    made: str = message.dump(force=True).hex().upper()
    assert len(made) <= room
    return content[: start + 1] + made.ljust(room, "0").encode() + content[end - 1 :]
