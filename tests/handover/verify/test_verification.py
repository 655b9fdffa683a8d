"""Verifying: every changed byte is reported, and what is reported is what was changed."""

from __future__ import annotations

import io
import json
import random
import re
import shutil
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from cryptography import x509
from PIL import Image
from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.sign.timestamps import DummyTimeStamper

from commission_tui.errors import DocumentError, StoreError
from commission_tui.handover.signing import document_signing
from commission_tui.handover.signing.document_signing import sign_document
from commission_tui.handover.signing.signing_log import log_signature
from commission_tui.handover.typeset.attachments import made_with
from commission_tui.handover.verify import reproduction
from commission_tui.handover.verify.pdf_reading import OpenedPdf
from commission_tui.handover.verify.verification import (
    read_certificates,
    verify_content,
    verify_file,
)
from commission_tui.handover.verify.verification_result import Verification
from commission_tui.logbook.entries import chain
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.logbook import Logbook
from tests.handover.helping import (
    HOSTILE,
    export_json,
    export_pdf,
    export_record,
    make_job,
    photo,
    sign,
)
from tests.handover.signing_help import (
    A_SMALL_WALL,
    INTEGRATOR,
    SECOND,
    TWO_CHECKS,
    job,
    key,
    key_made,
    short_job,
    signed_once,
    signed_twice,
    unsigned,
)
from tests.paths import ROOT

FLIPS = 24
"""A thousand and more were tried by `tests.benchmarks.bench_verify`; see there."""


@cache
def verified(make: Callable[[], bytes]) -> Verification:
    """Verify what nobody changed once for all that is asked of it."""
    return verify_content(make(), "document")


def container(content: bytes) -> tuple[int, int]:
    """Return where the container of the last signature begins and ends."""
    *_, last = re.finditer(rb"<[0-9A-F]{1000,}>", content)
    return last.span()


def places(content: bytes) -> list[int]:
    """Return bytes all over a file, and every kind of byte that no signature covers."""
    start, end = container(content)
    dice = random.Random(20260608)  # noqa: S311 (not a secret)
    der = start + 1 + 2 * (4 + int(content[start + 5 : start + 9], 16))
    borders = [*range(start - 12, start + 24), *range(der - 4, der + 4), *range(end - 4, end + 12)]
    inside = [dice.randrange(start, end) for _ in range(FLIPS // 4)]
    tail = [*range(len(content) - 40, len(content), 2)]
    anywhere = [dice.randrange(len(content)) for _ in range(FLIPS // 2)]
    return [*borders, *inside, *tail, *anywhere]


def test_every_changed_byte_is_reported() -> None:
    content = signed_twice()
    dice = random.Random(7)  # noqa: S311 (not a secret)
    for at in places(content):
        changed = bytearray(content)
        # A digit for a digit, the other case of a letter: what still looks right is hardest to see.
        likely = [byte for byte in b"0123456789ABCDEFabcdef<> \n" if byte != content[at]]
        changed[at] = dice.choice([content[at] ^ 1 << dice.randrange(8), dice.choice(likely)])
        found = verify_content(bytes(changed), "changed")
        assert not found.holds, f"byte {at}: {content[at]} to {changed[at]}"
        assert found.first_failure


@pytest.mark.parametrize("make", [signed_once, signed_twice])
def test_a_byte_more_or_less_is_reported(make: Callable[[], bytes]) -> None:
    content = make()
    start, end = container(content)
    for changed in (
        content + b"\n",
        content[:-1],
        content[: start + 40] + content[start + 41 :],
        content[: end - 3] + b"0" + content[end - 3 :],
        b"\n" + content,
    ):
        assert not verify_content(changed, "changed").holds


@pytest.mark.parametrize("make", [unsigned, signed_once, signed_twice])
def test_what_nobody_changed_holds(make: Callable[[], bytes]) -> None:
    found = verified(make)
    assert found.holds, found.first_failure
    assert found.kind == "document"
    assert found.document == "FTH-26-014/1"


def by_what(found: Verification) -> dict[str, tuple[bool | None, str]]:
    return {one.what: (one.holds, one.said) for one in found.findings}


def test_it_says_who_signed_when_and_what_covers_what() -> None:
    first, second = verified(signed_twice).signatures
    assert (first.name, second.name) == (
        "Ines Okafor, Tarnside Integration",
        "Marit Hollis, Fellmoor Town Council",
    )
    assert "Ines Okafor" in first.subject
    assert first.reason == "integrator: Measured as stated. A draft. Exceptions listed: 1."
    assert first.covers_bytes == len(signed_once())
    added = len(signed_twice()) - len(signed_once())
    assert first.covers == f"the first {len(signed_once())} bytes; {added} bytes added after it"
    assert second.covers == "the whole file"
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", first.signed_at)
    assert first.stamped_at == ""


def test_trust_is_told_as_it_is() -> None:
    (alone,) = verified(signed_once).signatures
    assert not alone.trusted
    assert "nobody vouches for it here" in alone.trust
    assert key_made().sha256 in alone.trust
    known = read_certificates([key_made().certificate])
    (vouched,) = verify_content(signed_once(), "document", known, again=False).signatures
    assert vouched.trusted
    others = read_certificates([key_made("rsa").certificate])
    (other,) = verify_content(signed_once(), "document", others, again=False).signatures
    assert not other.trusted


def test_an_unsigned_document_says_what_cannot_be_told() -> None:
    holds, said = by_what(verified(unsigned))["signatures"]
    assert holds is None
    assert "nothing proves" in said


def test_what_is_added_after_a_signature_is_named() -> None:
    writer = IncrementalPdfFileWriter(io.BytesIO(signed_once()))
    writer.root["/Note"] = generic.pdf_string("added")
    writer.update_root()
    out = io.BytesIO()
    writer.write(out)
    found = verify_content(out.getvalue(), "document")
    more = len(out.getvalue()) - len(signed_once())
    assert f"{more} bytes after it are signed by nobody" in found.first_failure


def test_a_page_changed_between_two_signatures_is_named() -> None:
    """The second signer's file is whole, and yet it is not what the first one signed."""
    writer = IncrementalPdfFileWriter(io.BytesIO(signed_once()))
    page = writer.find_page_for_modification(1)[0].get_object()
    assert isinstance(page, generic.DictionaryObject)
    page["/Rotate"] = generic.NumberObject(180)
    writer.update_container(page)
    out = io.BytesIO()
    writer.write(out)
    look = document_signing._signed  # signs without looking first, as another program would
    boxes = document_signing._boxes(OpenedPdf(unsigned()))
    path = Path(key_made().key).with_name("look.pdf")
    path.write_bytes(unsigned())
    found = verify_content(look(out.getvalue(), key(), SECOND, (2, boxes, path), None), "document")
    assert not found.holds
    assert "Signature1" in found.first_failure
    assert "more than a further signature" in found.first_failure


def test_a_signature_that_the_structure_hides_is_missed() -> None:
    hidden = signed_once().replace(b"/AcroForm", b"/AcroFrom")
    assert not verify_content(hidden, "document").holds


def test_another_record_under_the_same_pages_is_named(tmp_path: Path) -> None:
    """The attached record exchanged for another one, sound in itself."""
    import pikepdf

    other = make_job(tmp_path)
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(unsigned())) as pdf:
        pdf.attachments["record.json"] = export_record(other)
        pdf.save(out)
    found = verify_content(out.getvalue(), "document")
    assert "says fingerprint" in found.first_failure


def test_a_photo_exchanged_is_named() -> None:
    import pikepdf

    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(unsigned())) as pdf:
        name = next(name for name in pdf.attachments if name.endswith(".png"))
        pdf.attachments[name] = b"another picture"
        pdf.save(out)
    found = verify_content(out.getvalue(), "document")
    assert f"{name}: its bytes have another hash" in found.first_failure


@pytest.mark.parametrize("export", [export_json, export_record])
def test_a_record_holds_until_a_word_of_it_changes(export: Callable[..., bytes]) -> None:
    content = export(job())
    found = verify_content(content, "record.json")
    assert (found.kind, found.holds) == ("record", True)
    changed = content.replace(b"found on white", b"found in black")
    assert changed != content
    assert not verify_content(changed, "record.json").holds


def test_what_a_record_says_of_itself_moves_no_cursor() -> None:
    exported = json.loads(export_json(job()))
    exported["verdicts"][0]["verdict"] = "odd"
    for said in ("9\r9", "9\u20289", "\x1b[2J"):
        content = json.dumps({**exported, "program": said}).encode()
        told = verify_content(content, "record.json").findings
        assert any("it was made by" in one.said for one in told)
        assert all(one.said.isprintable() for one in told)


def test_with_a_logbook_the_first_difference_is_named(tmp_path: Path) -> None:
    mine = short_job(tmp_path)
    path = tmp_path / "a.pdf"
    path.write_bytes(export_pdf(mine))
    assert by_what(verify_file(path, database=mine.database))["logbook"][0] is True
    mine.record(e.Note(text="one more"))
    holds, said = by_what(verify_file(path, database=mine.database))["logbook"]
    assert (holds, "1 entry more" in said) == (True, True)
    path.write_bytes(export_pdf(mine))
    other = tmp_path / "other"
    other.mkdir()
    earlier = short_job(other)
    holds, said = by_what(verify_file(path, database=earlier.database))["logbook"]
    assert holds is False
    assert "lacks entry" in said
    assert "(note," in said
    earlier.record(e.Note(text="something else"))
    holds, said = by_what(verify_file(path, database=earlier.database))["logbook"]
    assert holds is False
    assert "differs in text: record 'one more', logbook 'something else'" in said


def test_signing_is_no_difference_to_a_logbook(tmp_path: Path) -> None:
    mine = short_job(tmp_path)
    signed = sign_document(export_pdf(mine), key(), INTEGRATOR)
    log_signature(mine, signed, INTEGRATOR)
    path = tmp_path / "a.pdf"
    path.write_bytes(signed)
    assert by_what(verify_file(path, database=mine.database))["logbook"][0] is True


def test_a_logbook_is_checked_too(tmp_path: Path) -> None:
    mine = short_job(tmp_path)
    found = verify_file(mine.database)
    assert (found.kind, found.holds) == ("database", True)


def test_a_moment_that_no_wall_file_is_asked_about_says_that_it_is_in_utc(tmp_path: Path) -> None:
    mine = make_job(tmp_path, files=TWO_CHECKS, text=A_SMALL_WALL)
    sign(mine, "client", "Marit Hollis")
    found = by_what(verify_content(export_pdf(mine), "document", again=False))
    first, *_ = mine.state.in_order()
    said = found["signed by name, Marit Hollis (client)"][1]
    # Not where: whether on a screen or by a command, the record has no word of it.
    assert said.startswith(f"logged by {first.by}, 2026-06-08 in UTC: no key")
    assert "2026-06-08 13:00 UTC, Ines Okafor)" in chain.entry_name(first)


def test_a_time_stamp_is_checked_and_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """The authority is pyHanko's stand-in, with an invented key; no network is asked."""
    from asn1crypto import keys as asn1_keys
    from asn1crypto import x509 as asn1_x509
    from cryptography.hazmat.primitives import serialization as form
    from cryptography.hazmat.primitives.serialization import pkcs12

    secret, own, _ = pkcs12.load_key_and_certificates(key("rsa").pkcs12, key("rsa").passphrase)
    assert secret is not None
    assert own is not None
    packed = secret.private_bytes(form.Encoding.DER, form.PrivateFormat.PKCS8, form.NoEncryption())
    stamper = DummyTimeStamper(
        tsa_cert=asn1_x509.Certificate.load(own.public_bytes(form.Encoding.DER)),
        tsa_key=asn1_keys.PrivateKeyInfo.load(packed),
    )
    monkeypatch.setattr(document_signing, "_timestamper", lambda _: stamper)
    content = sign_document(unsigned(), key(), INTEGRATOR, tsa="http://stand-in.invalid")
    found = verify_content(content, "document", again=False)
    assert found.holds, found.first_failure
    assert found.signatures[0].stamped_at
    start, end = container(content)
    dice = random.Random(3)  # noqa: S311 (not a secret)
    for at in [dice.randrange(start, end) for _ in range(FLIPS)]:
        changed = bytearray(content)
        changed[at] = dice.choice([byte for byte in b"0123456789ABCDEF" if byte != content[at]])
        assert not verify_content(bytes(changed), "changed").holds, at


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"%PDF-1.7",
        b"%PDF-1.7\n1 0 obj\n<<>>\nendobj\ntrailer\n<</Root 1 0 R>>\nstartxref\n0\n%%EOF",
        b"{}",
        b"[" * 200_000,
        b'{"entries":[\n',
        b'{"entries":[\n{}\n],"photos":[\n],"record":1}\n',
        b"\x00" * 1000,
    ],
)
def test_what_is_no_handover_does_not_hold_in_one_line(content: bytes) -> None:
    found = verify_content(content, "x")
    assert not found.holds
    assert "\n" not in found.first_failure


def test_a_file_that_is_not_there_is_one_line(tmp_path: Path) -> None:
    with pytest.raises(DocumentError, match="cannot be read"):
        verify_file(tmp_path / "none.pdf")
    path = tmp_path / "a.pdf"
    path.write_bytes(unsigned())
    with pytest.raises(StoreError, match="there is no such file, expected a logbook"):
        verify_file(path, database=tmp_path / "none.db")
    with pytest.raises(DocumentError, match="found no certificate"):
        verify_file(path, trusted=[path])


def test_hostile_words_of_a_signer_come_back_as_words() -> None:
    block = replace(INTEGRATOR, name=HOSTILE, organisation="", statement=HOSTILE)
    signed = sign_document(unsigned(), key(), block)
    (found,) = verify_content(signed, "document", again=False).signatures
    assert found.name == HOSTILE
    assert found.reason.startswith(f"integrator: {HOSTILE}")


def test_certificates_are_read_as_pem_and_der(tmp_path: Path) -> None:
    pem = key_made().certificate
    der = tmp_path / "a.der"
    from cryptography.hazmat.primitives.serialization import Encoding

    der.write_bytes(x509.load_pem_x509_certificate(pem.read_bytes()).public_bytes(Encoding.DER))
    one, other = read_certificates([pem, der])
    assert one.dump() == other.dump()


def test_photos_of_a_real_size_are_checked(tmp_path: Path) -> None:
    mine = make_job(tmp_path, files=TWO_CHECKS, text=A_SMALL_WALL)
    mine.photo(photo(tmp_path, "big.png", (900, 700)))
    holds, said = by_what(verify_content(export_pdf(mine), "document"))["files"]
    assert (holds, said) == (True, "1 photo or file has the hash it names")


@pytest.mark.parametrize("make", [unsigned, signed_once, signed_twice])
def test_set_again_from_its_record_it_is_the_same(make: Callable[[], bytes]) -> None:
    holds, said = by_what(verified(make))["pages"]
    assert holds is True, said
    assert "pages" not in by_what(verify_content(make(), "document", again=False))


def test_set_again_a_changed_page_without_a_signature_is_found() -> None:
    content = page_with(b"BT ET")
    assert verify_content(content, "document", again=False).holds
    found = verify_content(content, "document")
    what = "pages: page 2 does not say what the record in the file says: its contents"
    assert found.first_failure == what
    meaning = "this file was changed, or damaged, after it was made"
    assert found.said == f"does not hold: {meaning}; {what}"


def test_what_cannot_be_read_as_pdf_is_changed_only_where_it_names_this_program() -> None:
    """A page that another program wrote, in a way that the library refuses, was "changed, or damaged"."""
    made = io.BytesIO()
    Image.new("RGB", (8, 8)).save(made, "PDF")
    other = verify_content(made.getvalue(), "other.pdf")
    assert (other.proof, "cannot be read as PDF" in other.first_failure) == ("other", True)
    content = unsigned()
    part = verify_content(content[: content.rindex(b"startxref")], "part.pdf")
    assert (part.proof, "cannot be read as PDF" in part.first_failure) == ("changed", True)


def page_with(what: bytes) -> bytes:
    import pikepdf

    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(unsigned())) as pdf:
        pdf.pages[1].contents_add(what, prepend=False)
        pdf.save(out)
    return out.getvalue()


def test_with_another_version_words_and_figures_are_compared(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    unsigned()
    changed = page_with(b"BT /f0 12 Tf 100 300 Td (12) Tj ET")
    made = made_with()
    monkeypatch.setattr(reproduction, "made_with", lambda: {**made, "program": "99"})
    found = verify_content(unsigned(), "document")
    holds, said = by_what(found)["pages"]
    assert (holds, "text and figures are what its record gives" in said) == (True, True)
    assert "this is program 99" in said
    found = verify_content(changed, "document")
    holds, said = by_what(found)["pages"]
    assert (holds, found.proof) == (None, "unproved")
    assert re.search(r"sets \d+ words otherwise", said)


def test_the_answer_is_one_of_three() -> None:
    assert verified(unsigned).proof == "unproved"
    assert verified(signed_once).proof == "proved"
    assert verify_content(signed_once() + b"\n", "document").proof == "changed"


def test_a_broken_file_writes_nothing_to_the_terminal(capfd: pytest.CaptureFixture[str]) -> None:
    for old, new in (
        (b"startxref\n", b"startxref "),
        (b"%%EOF", b"%%EOG"),
        (b" 00000 n", b" 00000 x"),
    ):
        changed = signed_once().replace(old, new)
        assert not verify_content(changed, "changed").holds
    assert capfd.readouterr() == ("", "")


def test_a_signers_escapes_reach_no_terminal() -> None:
    block = replace(INTEGRATOR, name="Ines\x1b[31m\u202eOkafor", organisation="")
    signed = sign_document(unsigned(), key(), block)
    (found,) = verify_content(signed, "document", again=False).signatures
    assert found.name == "Ines[U+001B][31m[U+202E]Okafor"


FIXTURES = ROOT / "tests" / "logbook" / "store" / "fixtures"


@pytest.mark.parametrize("opened", [False, True])
@pytest.mark.parametrize("schema", sorted(path.stem for path in FIXTURES.glob("*.db")))
def test_a_logbook_of_another_version_is_not_said_to_be_changed(
    schema: str, opened: bool, tmp_path: Path
) -> None:
    """Nobody touched it; with other words for a verdict, or without a chain, that cannot be told."""
    path = Path(shutil.copy(FIXTURES / f"{schema}.db", tmp_path / "logbook.db"))
    if opened:
        Logbook(path).close()
    found = verify_file(path)
    if schema < "m004" and not opened:
        assert (found.proof, found.meaning) == ("unproved", "")
        assert found.said == "nothing in it proves that it was not changed"
        return
    assert by_what(found)["database"][0] is True
    assert found.meaning.startswith("what it keeps of its results is not what its entries give")
    assert "or another version kept none" in found.said or "by another version;" in found.said
    with closing(Logbook(path)) as book:
        (summary,) = book.jobs()
        book.open(summary.id, "B. Technician").store_verdicts()
    assert (verify_file(path).proof, verify_file(path).said) == ("proved", "holds")
