"""A firm's own PKCS#12, with a certificate that its authority issued: an invented chain of three."""

from __future__ import annotations

import random
import re
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import (
    BestAvailableEncryption,
    Encoding,
    pkcs12,
)
from cryptography.x509.oid import NameOID

from commission_tui.handover.signing.document_signing import sign_document
from commission_tui.handover.signing.keys import read_key
from commission_tui.handover.verify.verification import read_certificates, verify_content
from tests.handover.signing_help import INTEGRATOR, PASSPHRASE, folder, unsigned

Pair = tuple[ec.EllipticCurvePrivateKey, x509.Certificate]


def issued(name: str, by: Pair | None, *, authority: bool, days: int = 400) -> Pair:
    private = ec.generate_private_key(ec.SECP256R1())
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name)])
    now = datetime.now(UTC)
    made = (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(by[1].subject if by else subject)
        .public_key(private.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(days=1))
        .not_valid_after(now + timedelta(days=days))
        .add_extension(x509.BasicConstraints(ca=authority, path_length=None), critical=True)
        .add_extension(
            x509.SubjectKeyIdentifier.from_public_key(private.public_key()), critical=False
        )
        .sign(by[0] if by else private, hashes.SHA256())
    )
    return private, made


@cache
def chain() -> tuple[Pair, Pair, Pair]:
    root = issued("Invented Root", None, authority=True)
    middle = issued("Invented Authority", root, authority=True)
    return root, middle, issued("Ines Okafor", middle, authority=False)


@cache
def signed() -> bytes:
    _, middle, leaf = chain()
    packed = pkcs12.serialize_key_and_certificates(
        b"firm", leaf[0], leaf[1], [middle[1]], BestAvailableEncryption(PASSPHRASE.encode())
    )
    path = folder() / "firm.p12"
    path.write_bytes(packed)
    return sign_document(unsigned(), read_key(path, PASSPHRASE), INTEGRATOR)


def test_its_authority_is_trusted_when_it_is_named(tmp_path: Path) -> None:
    root, _, leaf = chain()
    path = tmp_path / "root.crt"
    path.write_bytes(root[1].public_bytes(Encoding.PEM))
    named = read_certificates([path])
    (found,) = verify_content(signed(), "document", named, again=False).signatures
    assert (found.holds, found.trusted) == (True, True)
    assert found.certificate_sha256 == leaf[1].fingerprint(hashes.SHA256()).hex()
    (alone,) = verify_content(signed(), "document", again=False).signatures
    assert (alone.holds, alone.trusted) == (True, False)
    assert "an issuer that was not given as trusted" in alone.trust


def test_no_byte_of_the_certificates_that_came_with_it_can_be_changed() -> None:
    content = signed()
    *_, last = re.finditer(rb"<[0-9A-F]{1000,}>", content)
    dice = random.Random(4)  # noqa: S311 (not a secret)
    for at in [dice.randrange(last.start(), last.end()) for _ in range(24)]:
        changed = bytearray(content)
        changed[at] = dice.choice([byte for byte in b"0123456789ABCDEF" if byte != content[at]])
        assert not verify_content(bytes(changed), "changed").holds, at
