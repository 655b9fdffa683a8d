"""Keys to sign with: a firm's PKCS#12 file, or one made here with a certificate of its own.

A key made here is an EC key on P-256 or a 3072-bit RSA key, with a certificate that it signs itself:
nobody else vouches for it, so its SHA-256 is what the other side is told, on paper or by voice. It is
kept encrypted under a passphrase, readable by its owner only.
"""

from __future__ import annotations

import contextlib
import hashlib
import hmac
import os
import warnings
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from platformdirs import user_data_path

from commission_tui.errors import DocumentError, InputError
from commission_tui.files import read_bounded
from commission_tui.handover.signing.passphrase_strength import MOST_ROUNDS, rounds_asked, strength

if TYPE_CHECKING:
    from cryptography import x509
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey
    from cryptography.hazmat.primitives.asymmetric.rsa import RSAPrivateKey

KeyKind = Literal["ec", "rsa"]
SHORTEST_PASSPHRASE = 8
_LARGEST = 1_000_000
ROUNDS = 600_000
"""Of PBKDF2 with HMAC-SHA-256 (OWASP Password Storage Cheat Sheet)."""
_LONGEST_NAME = 64
"""Of a common or organisation name in a certificate (RFC 5280, appendix A.1, upper bounds)."""


@dataclass(frozen=True, slots=True)
class KeyMade:
    """A new key and what to tell the other side of it."""

    key: Path
    certificate: Path
    sha256: str
    expires: str
    strength: str
    """How long its passphrase holds."""


@dataclass(frozen=True, slots=True)
class SigningKey:
    """A key as read from its file, and the certificates that came with it."""

    pkcs12: bytes
    passphrase: bytes
    certificate: x509.Certificate


def new_key(
    path: Path,
    passphrase: str,
    *,
    name: str,
    organisation: str = "",
    kind: KeyKind = "ec",
    years: int = 10,
) -> KeyMade:
    """Make a key and its certificate; the certificate alone goes beside it, to hand on.

    Raises
    ------
    InputError
        When a name or the passphrase is not sound.
    DocumentError
        When a file is there already, or cannot be written.
    """
    from cryptography.hazmat.primitives import serialization
    from cryptography.hazmat.primitives.asymmetric import ec, rsa

    check_new(path, passphrase, name, organisation)
    private = (
        ec.generate_private_key(ec.SECP256R1())
        if kind == "ec"
        else rsa.generate_private_key(public_exponent=65537, key_size=3072)
    )
    certificate = _certificate(private, name, organisation, years)
    packed = _packed(private, certificate, name, passphrase)
    beside = path.with_suffix(".crt")
    _make_folder(path.parent)
    _write_new(path, packed, 0o600)
    try:
        _write_new(beside, certificate.public_bytes(serialization.Encoding.PEM), 0o644)
    except DocumentError:
        path.unlink(missing_ok=True)
        raise
    expires = certificate.not_valid_after_utc.date().isoformat()
    return KeyMade(path, beside, certificate_sha256(certificate), expires, strength(passphrase))


def key_folder() -> Path:
    """Return the folder of the user's own where new keys are put; it need not be there yet.

    Raises
    ------
    InputError
        When the user has no home.
    """
    try:
        return user_data_path("commission_tui") / "keys"
    except (RuntimeError, OSError):
        raise InputError("key: found no home folder, expected where to keep keys") from None


def read_key(path: Path, passphrase: str) -> SigningKey:
    """Read a PKCS#12 file.

    Raises
    ------
    DocumentError
        When it cannot be read or opened, or holds no key with a certificate that can sign.
    """
    from cryptography.hazmat.primitives.serialization import pkcs12

    content = read_bounded(path, _LARGEST, "a PKCS#12 file", DocumentError)
    # More work than opening a key takes is refused before any is done.
    rounds = rounds_asked(content)
    if rounds is None:
        raise DocumentError(
            f"{path}: cannot be opened: no PKCS#12 file whose work can be told before it is done"
        )
    if rounds > MOST_ROUNDS:
        raise DocumentError(
            f"{path}: found {rounds} rounds for each guess at its passphrase, expected at most "
            f"{MOST_ROUNDS}"
        )
    secret = passphrase.encode("utf-8")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # about how it is packed, which its owner cannot help
            private, certificate, _ = pkcs12.load_key_and_certificates(content, secret or None)
    except (ValueError, TypeError):
        raise DocumentError(
            f"{path}: cannot be opened: the passphrase does not fit, or it is no PKCS#12 file"
        ) from None
    if private is None or certificate is None:
        raise DocumentError(f"{path}: found no key with a certificate, expected one to sign with")
    return SigningKey(content, secret, certificate)


def open_to_others(path: Path) -> bool:
    """Whether anyone but the owner may read a key file."""
    return os.name == "posix" and bool(path.stat().st_mode & 0o077)


def certificate_sha256(certificate: x509.Certificate) -> str:
    from cryptography.hazmat.primitives import hashes

    return certificate.fingerprint(hashes.SHA256()).hex()


def other_owner(key: SigningKey, name: str, organisation: str = "") -> str:
    """Return whose a key is when it is neither the signer's nor his firm's; nothing when it is."""
    from asn1crypto import x509 as parsed
    from cryptography.hazmat.primitives.serialization import Encoding

    from commission_tui.handover.verify.signature_checks import common_name, names_fit

    subject = parsed.Certificate.load(key.certificate.public_bytes(Encoding.DER)).subject
    owner = common_name(subject)
    return "" if names_fit(f"{name},{organisation}", owner) else owner


def check_new(path: Path, passphrase: str, name: str, organisation: str) -> None:
    """Refuse what no key can be made of, before the seconds that one takes.

    Raises
    ------
    InputError, DocumentError
        When a name or the passphrase is not sound, or a file is there already.
    """
    if len(passphrase) < SHORTEST_PASSPHRASE:
        raise InputError(
            f"passphrase: found {len(passphrase)} characters, expected at least {SHORTEST_PASSPHRASE}"
        )
    for what, text in (("name", name), ("organisation", organisation)):
        if len(text) > _LONGEST_NAME or not text.isprintable():
            raise InputError(f"{what}: expected at most {_LONGEST_NAME} printable characters")
    if not name.strip():
        raise InputError("name: found nothing, expected who signs with this key")
    for there in (path, path.with_suffix(".crt")):
        # In a folder that may not be looked into nothing is there; writing says so.
        if os.path.exists(there):  # noqa: PTH110
            raise DocumentError(f"{there}: is there already; nothing was written over")


def _certificate(
    private: EllipticCurvePrivateKey | RSAPrivateKey, name: str, organisation: str, years: int
) -> x509.Certificate:
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes
    from cryptography.x509.oid import NameOID

    parts = [x509.NameAttribute(NameOID.COMMON_NAME, name.strip())]
    if organisation.strip():
        parts.append(x509.NameAttribute(NameOID.ORGANIZATION_NAME, organisation.strip()))
    subject = x509.Name(parts)
    begun = datetime.now(UTC).replace(microsecond=0)
    others = (
        *("key_encipherment", "data_encipherment", "key_agreement", "key_cert_sign"),
        *("crl_sign", "encipher_only", "decipher_only"),
    )
    usage = x509.KeyUsage(
        digital_signature=True, content_commitment=True, **dict.fromkeys(others, False)
    )
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(subject)
        .public_key(private.public_key())
        .serial_number(x509.random_serial_number())
        # A laptop's clock may be a little ahead of the verifier's.
        .not_valid_before(begun - timedelta(hours=1))
        .not_valid_after(begun + timedelta(days=365 * years + years // 4))
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(
            x509.SubjectKeyIdentifier.from_public_key(private.public_key()), critical=False
        )
        .sign(private, hashes.SHA256())
    )


def _packed(
    private: EllipticCurvePrivateKey | RSAPrivateKey,
    certificate: x509.Certificate,
    name: str,
    passphrase: str,
) -> bytes:
    from cryptography.hazmat.primitives import hashes
    from cryptography.hazmat.primitives.serialization import PrivateFormat, pkcs12

    encryption = (
        PrivateFormat.PKCS12.encryption_builder()
        .kdf_rounds(ROUNDS)
        .key_cert_algorithm(pkcs12.PBES.PBESv2SHA256AndAES256CBC)
        .hmac_hash(hashes.SHA256())
        .build(passphrase.encode("utf-8"))
    )
    packed = pkcs12.serialize_key_and_certificates(
        name.strip().encode("utf-8"), private, certificate, None, encryption
    )
    return _sealed(packed, passphrase)


def _sealed(packed: bytes, passphrase: str) -> bytes:
    """Make a file's seal anew with as many rounds as its content: a guess costs the same either way.

    RFC 7292, 4 and appendix B.2, with HMAC-SHA-256; the library seals with 2,048 rounds, whatever it is
    told of the content.
    """
    from asn1crypto import pkcs12

    file = pkcs12.Pfx.load(packed)
    seal = file["mac_data"]
    secret = _seal_key(passphrase, seal["mac_salt"].native, ROUNDS)
    seal["iterations"] = ROUNDS
    seal["mac"]["digest"] = hmac.digest(secret, file["auth_safe"]["content"].native, "sha256")
    return bytes(file.dump(force=True))


def _seal_key(passphrase: str, salt: bytes, rounds: int) -> bytes:
    """Derive the key of a seal (RFC 7292, appendix B.2, for one block of SHA-256, purpose 3)."""
    block = 64
    typed = passphrase.encode("utf-16-be") + bytes(2)
    start = bytes([3]) * block + _filled(salt, block) + _filled(typed, block)
    secret = hashlib.sha256(start).digest()
    for _ in range(rounds - 1):
        secret = hashlib.sha256(secret).digest()
    return secret


def _filled(part: bytes, block: int) -> bytes:
    """Repeat a part until it fills whole blocks."""
    whole = -(-len(part) // block) * block
    return (part * (whole // len(part) + 1))[:whole]


def _make_folder(folder: Path) -> None:
    try:
        for one in (folder.parent, folder):  # the data folder too, when a key is the first in it
            if not one.exists():
                one.mkdir(mode=0o700, parents=True)
    except OSError as error:
        raise DocumentError(f"{folder}: cannot be made: {error.strerror}") from None


def _write_new(path: Path, content: bytes, mode: int) -> None:
    """Write a file that was not there; nobody else can have opened it in between."""
    try:
        with open(path, "xb", opener=lambda name, flags: os.open(name, flags, mode)) as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
    except FileExistsError:
        raise DocumentError(f"{path}: is there already; nothing was written over") from None
    except OSError as error:
        with contextlib.suppress(OSError):
            path.unlink()  # half a key is none, and would stand in the way of a whole one
        raise DocumentError(f"{path}: cannot be written: {error.strerror}") from None
