"""Documents signed by other programs hold: any valid PAdES baseline signature, in any field.

The programs are OpenSSL's cms, and pyHanko with its own settings.
"""

from __future__ import annotations

import asyncio
import io
import subprocess
from collections.abc import Callable
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

import pytest
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    pkcs12,
)
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.sign import ExternalSigner, PdfSignatureMetadata, PdfSigner
from pyhanko.sign.fields import SigSeedSubFilter

from commission_tui.handover.signing.document_signing import sign_document
from commission_tui.handover.verify.verification import read_certificates, verify_content
from tests.attacks.signatures import _by_another_program
from tests.handover.helping import need
from tests.handover.signing_help import (
    SECOND,
    folder,
    key,
    key_made,
    signed_once,
    signed_twice,
    unsigned,
)

ROOM = 16_000


def by_pyhanko(content: bytes, _: Path) -> bytes:
    return _by_another_program(content, key("rsa"))


def by_openssl(content: bytes, folder: Path) -> bytes:
    """Let OpenSSL make the message (CAdES, RFC 5126) and put it into a field of its own."""
    private, own, _others = pkcs12.load_key_and_certificates(
        key("rsa").pkcs12, key("rsa").passphrase
    )
    assert private is not None
    assert own is not None
    (folder / "key.pem").write_bytes(
        private.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    )
    (folder / "own.pem").write_bytes(own.public_bytes(Encoding.PEM))
    writer = IncrementalPdfFileWriter(io.BytesIO(content))
    about = PdfSignatureMetadata(
        field_name="Other", md_algorithm="sha256", subfilter=SigSeedSubFilter.PADES
    )
    signer = PdfSigner(about, ExternalSigner(None, None))
    prepared, _, output = asyncio.run(
        signer.async_digest_doc_for_signing(writer, bytes_reserved=ROOM)
    )
    assert isinstance(output, io.BytesIO)
    made = output.getvalue()
    start, end = prepared.reserved_region_start, prepared.reserved_region_end
    (folder / "covered").write_bytes(made[:start] + made[end:])
    words = ("cms", "-sign", "-binary", "-cades", "-md", "sha256", "-outform", "DER")
    names = ("-in", "covered", "-signer", "own.pem", "-inkey", "key.pem", "-out", "message")
    _run(folder, "openssl", *words, *names)
    prepared.fill_with_cms(output, (folder / "message").read_bytes())
    return output.getvalue()


def _run(folder: Path, program: str, *words: str | Path) -> None:
    subprocess.run([need(program), *words], cwd=folder, check=True, capture_output=True)


Program = Callable[[bytes, Path], bytes]
PROGRAMS = [by_pyhanko, by_openssl]


@cache
def signed_by(program: Program, before: Callable[[], bytes]) -> bytes:
    """Sign once for all that is asked of it."""
    return program(before(), Path(mkdtemp(dir=folder())))


@pytest.mark.outside
@pytest.mark.parametrize("program", PROGRAMS)
@pytest.mark.parametrize("before", [unsigned, signed_twice])
def test_it_holds(before: Callable[[], bytes], program: Program) -> None:
    """Signed with pyHanko and OpenSSL, first or after others, nothing else changed."""
    found = verify_content(signed_by(program, before), "document")
    assert found.proof == "proved", found.said


@pytest.mark.outside
@pytest.mark.parametrize("program", PROGRAMS)
def test_whoever_signed_every_signer_must_be_vouched_for(program: Program) -> None:
    """Signed with pyHanko and OpenSSL after the first signer."""
    content = signed_by(program, signed_once)
    both = read_certificates([key_made().certificate, key_made("rsa").certificate])
    assert verify_content(content, "document", both, again=False).proof == "proved"
    one = read_certificates([key_made().certificate])
    assert verify_content(content, "document", one, again=False).proof == "changed"


@pytest.mark.outside
@pytest.mark.parametrize("program", PROGRAMS)
def test_ours_can_come_after_it(program: Program) -> None:
    """Signed with pyHanko and OpenSSL after the first signer, and by ours after that."""
    content = sign_document(signed_by(program, signed_once), key(), SECOND)
    found = verify_content(content, "document")
    assert (found.proof, len(found.signatures)) == ("proved", 3), found.said


@pytest.mark.outside
@pytest.mark.parametrize("program", PROGRAMS)
def test_a_changed_byte_of_what_it_covers_is_found(program: Program) -> None:
    """Signed with pyHanko and OpenSSL; what no signature covers is theirs to bind."""
    content = bytearray(signed_by(program, signed_once))
    content[5000] ^= 1
    assert verify_content(bytes(content), "document").proof == "changed"
