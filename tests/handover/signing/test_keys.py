"""Keys: kept for their owner only, opened by their passphrase only, read by another program too."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path
from typing import Any

import pytest
from asn1crypto import core
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.serialization import BestAvailableEncryption, pkcs12

from commission_tui.errors import DocumentError, InputError
from commission_tui.handover.signing import keys
from commission_tui.handover.signing.keys import new_key, open_to_others, other_owner, read_key
from tests.handover.helping import need
from tests.handover.signing_help import PASSPHRASE, key, key_made

AS_PUBLISHED = keys.ROUNDS
"""What the program uses: the tests make their keys with fewer."""
LONG = "lämps, and a long one: " + "x" * 80
"""Longer than one block of the hash, and beyond ASCII."""


def test_keys_are_of_the_kind_asked_for_and_strong() -> None:
    on_curve, by_factors = key("ec").certificate.public_key(), key("rsa").certificate.public_key()
    assert isinstance(on_curve, ec.EllipticCurvePublicKey)
    assert isinstance(on_curve.curve, ec.SECP256R1)
    assert isinstance(by_factors, rsa.RSAPublicKey)
    assert by_factors.key_size == 3072


@pytest.mark.skipif(os.name != "posix", reason="modes are those of POSIX")
def test_key_and_folder_are_for_their_owner_only(tmp_path: Path) -> None:
    made = new_key(tmp_path / "mine" / "a.p12", PASSPHRASE, name="Ines Okafor")
    assert made.key.stat().st_mode & 0o777 == 0o600
    assert made.key.parent.stat().st_mode & 0o777 == 0o700
    assert not open_to_others(made.key)
    made.key.chmod(0o640)
    assert open_to_others(made.key)


def test_the_certificate_beside_it_is_the_one_in_it() -> None:
    made = key_made()
    beside = x509.load_pem_x509_certificate(made.certificate.read_bytes())
    assert beside == key().certificate
    assert made.sha256 == beside.fingerprint(hashes.SHA256()).hex()
    assert b"PRIVATE" not in made.certificate.read_bytes()


def test_another_passphrase_does_not_open_it() -> None:
    with pytest.raises(DocumentError, match="passphrase does not fit"):
        read_key(key_made().key, PASSPHRASE + "!")


def test_nothing_is_written_over(tmp_path: Path) -> None:
    path = tmp_path / "a.p12"
    path.write_bytes(b"mine")
    with pytest.raises(DocumentError, match="is there already"):
        new_key(path, PASSPHRASE, name="x")
    assert path.read_bytes() == b"mine"
    (tmp_path / "b.crt").write_bytes(b"mine")
    with pytest.raises(DocumentError, match="is there already"):
        new_key(tmp_path / "b.p12", PASSPHRASE, name="x")
    assert not (tmp_path / "b.p12").exists()


@pytest.mark.parametrize(
    ("passphrase", "name", "said"),
    [
        ("short", "x", "at least 8"),
        (PASSPHRASE, " ", "name"),
        (PASSPHRASE, "x" * 65, "64"),
        (PASSPHRASE, "a\nb", "printable"),
    ],
)
def test_weak_or_odd_words_are_refused(
    tmp_path: Path, passphrase: str, name: str, said: str
) -> None:
    with pytest.raises(InputError, match=said):
        new_key(tmp_path / "a.p12", passphrase, name=name)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("content", [b"", b"nothing of the kind", b"\x30\x82\xff\xff" * 50])
def test_what_is_no_key_is_one_line(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "x.p12"
    path.write_bytes(content)
    with pytest.raises(DocumentError, match="no PKCS#12 file") as caught:
        read_key(path, PASSPHRASE)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("part", ["seal", "key", "certificate"])
def test_a_file_of_two_thousand_million_rounds_is_refused_before_it_is_tried(
    tmp_path: Path, part: str
) -> None:
    """Tried, it would take a quarter of an hour."""
    from asn1crypto import pkcs12

    file = pkcs12.Pfx.load(key_made().key.read_bytes())
    if part == "seal":
        file["mac_data"]["iterations"] = 2_000_000_000
    else:
        safe = pkcs12.AuthenticatedSafe.load(file["auth_safe"]["content"].native)
        for one in safe:
            if part == "certificate" and one["content_type"].native == "encrypted_data":
                algorithm = one["content"]["encrypted_content_info"]["content_encryption_algorithm"]
                _many_rounds(algorithm)
            if part == "key" and one["content_type"].native == "data":
                bags = pkcs12.SafeContents.load(one["content"].native)
                _many_rounds(bags[0]["bag_value"]["encryption_algorithm"])
                one["content"] = core.OctetString(bags.dump(force=True))
        file["auth_safe"]["content"] = core.OctetString(safe.dump(force=True))
    path = tmp_path / "x.p12"
    path.write_bytes(file.dump(force=True))
    with pytest.raises(DocumentError, match=r"found 20\d{8} rounds for each guess"):
        read_key(path, PASSPHRASE)


def _many_rounds(algorithm: Any) -> None:
    algorithm["parameters"]["key_derivation_func"]["parameters"]["iteration_count"] = 2_000_000_000


def test_a_certificate_without_a_key_cannot_sign(tmp_path: Path) -> None:
    path = tmp_path / "x.p12"
    packed = pkcs12.serialize_key_and_certificates(
        b"x", None, key().certificate, None, BestAvailableEncryption(PASSPHRASE.encode())
    )
    path.write_bytes(packed)
    with pytest.raises(DocumentError, match="expected one to sign with"):
        read_key(path, PASSPHRASE)


@pytest.mark.outside
def test_openssl_opens_it_and_finds_the_certificate_sound() -> None:
    """OpenSSL's own PKCS#12 reader and certificate check."""
    made = key_made()
    words = [need("openssl"), "pkcs12", "-in", str(made.key), "-passin", "env:SECRET", "-nokeys"]
    done = subprocess.run(
        words, env={**os.environ, "SECRET": PASSPHRASE}, capture_output=True, check=True, text=True
    )
    assert "BEGIN CERTIFICATE" in done.stdout
    subprocess.run(
        [need("openssl"), "verify", "-CAfile", str(made.certificate), str(made.certificate)],
        check=True,
        capture_output=True,
    )


def test_a_guess_costs_the_same_at_the_seal_as_at_the_content(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Both counts stand in the file (RFC 7292, 4): the seal's beside the content's."""
    from asn1crypto import pkcs12

    monkeypatch.setattr(keys, "ROUNDS", AS_PUBLISHED)
    made = new_key(tmp_path / "a.p12", PASSPHRASE, name="Ines Okafor")
    file = pkcs12.Pfx.load(made.key.read_bytes())
    seal = file["mac_data"]
    assert seal["iterations"].native == AS_PUBLISHED == 600_000
    assert seal["mac"]["digest_algorithm"]["algorithm"].native == "sha256"
    with pytest.raises(DocumentError, match="passphrase does not fit"):
        read_key(made.key, "lamps and laddert")
    assert read_key(made.key, PASSPHRASE).certificate


@pytest.mark.outside
def test_the_seal_is_one_that_openssl_takes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Opened with OpenSSL's pkcs12."""
    monkeypatch.setattr(keys, "ROUNDS", AS_PUBLISHED)
    made = new_key(tmp_path / "a.p12", LONG, name="Ines Okafor")
    secret = tmp_path / "secret"
    secret.write_text(LONG, encoding="utf-8")
    said = subprocess.run(
        [
            need("openssl"),
            "pkcs12",
            "-in",
            made.key,
            "-info",
            "-noout",
            "-passin",
            f"file:{secret}",
        ],
        check=True,
        capture_output=True,
        text=True,
    ).stderr
    assert "MAC: sha256, Iteration 600000" in said


def test_a_key_is_its_owners(tmp_path: Path) -> None:
    made = key_made()
    key = read_key(made.key, PASSPHRASE)
    assert other_owner(key, "ines  okafor") == ""
    assert other_owner(key, "Ms. Ines Okafor", "Tarnside Integration") == ""
    assert other_owner(key, "Marit Hollis", "Ines Okafor") == ""  # a firm's key
    assert other_owner(key, "Marit Hollis", "Fellmoor Town Council") == "Ines Okafor"
