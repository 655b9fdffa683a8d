"""Every byte of a signature's container held to something, also those that no signature covers.

A signature covers its file but not the container that holds it (CMS, RFC 5652), and inside the
container it covers only the signed attributes. The rest is held here: certificates by the hashes in
the signed attributes (RFC 5035) or by their issuer's signature, algorithms by the attribute that
repeats them (RFC 6211), versions and order by rebuilding the container in the one form that DER and
RFC 5652, 5.1 and 5.3, allow, the padding by being zeros, the hexadecimal digits by being of one case.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from commission_tui.text import clipped, flat

if TYPE_CHECKING:
    from asn1crypto import cms, x509

_HEX = re.compile(rb"<(?:[0-9A-F]+|[0-9a-f]+)>")


class FormError(ValueError):
    """Says in plain words what is not as it must be."""


def check_container(gap: bytes) -> bytes:
    """Check what stands between the two parts of the file that a signature covers.

    Returns the message in it, for `check_message`.

    Raises
    ------
    FormError
        When a byte round it is not as it must be.
    """
    if not _HEX.fullmatch(gap) or len(gap) % 2:
        raise FormError("its container is not written in hexadecimal digits of one case")
    packed = bytes.fromhex(gap[1:-1].decode("ascii"))
    length = _der_length(packed)
    if length > len(packed) or any(packed[length:]):
        raise FormError("its container is not filled up with zeros")
    return packed[:length]


def check_message(der: bytes, *, time_stamp: bool = False) -> None:
    """Check a CMS message that holds one signature.

    Raises
    ------
    FormError
        When a byte of it is bound to nothing, or it is not in the form that DER gives it.
    """
    from asn1crypto import cms

    try:
        message = cms.ContentInfo.load(der, strict=True)
        signed = message["content"]
        (signer,) = signed["signer_infos"]
        certificates = [choice.chosen for choice in signed["certificates"]]
        leaf = _leaf(signer, certificates)
        _check_bound(signer, leaf, certificates, all_named=not time_stamp)
        _check_algorithms(signer, required=not time_stamp)
        stamps = _stamps(signer)
        rebuilt = _rebuilt(signed, signer, leaf, time_stamp=time_stamp)
    except FormError:
        raise
    except Exception as error:
        # A container with a byte changed makes the parser trip anywhere, by any error.
        raise FormError(f"its container cannot be read: {clipped(flat(str(error)), 100)}") from None
    if rebuilt != der:
        raise FormError("its container is not in the one form that its parts give it")
    for stamp in stamps:
        check_message(stamp, time_stamp=True)


def _der_length(packed: bytes) -> int:
    if len(packed) < 4 or packed[0] != 0x30 or not packed[1] & 0x80:
        raise FormError("its container does not begin as one")
    count = packed[1] & 0x7F
    if not 1 <= count <= 4:
        raise FormError("its container has no definite length")
    return 2 + count + int.from_bytes(packed[2 : 2 + count], "big")


def _leaf(signer: cms.SignerInfo, certificates: list[x509.Certificate]) -> x509.Certificate:
    """Return the one certificate that the signer names by issuer and number."""
    named = signer["sid"]
    if named.name != "issuer_and_serial_number":
        raise FormError("its signer is not named by issuer and number")
    wanted = (named.chosen["issuer"].dump(), named.chosen["serial_number"].native)
    found = [c for c in certificates if (c.issuer.dump(), c.serial_number) == wanted]
    if len(found) != 1:
        raise FormError("its signer's certificate is not in it")
    return found[0]


def _check_bound(
    signer: cms.SignerInfo,
    leaf: x509.Certificate,
    certificates: list[x509.Certificate],
    *,
    all_named: bool,
) -> None:
    from pyhanko.sign.general import check_ess_certid
    from pyhanko.sign.validation.generic_cms import get_signing_cert_attr

    attribute = get_signing_cert_attr(signer["signed_attrs"])
    named = [] if attribute is None else list(attribute["certs"])
    for certificate in certificates:
        if any(check_ess_certid(certificate, one) for one in named):
            continue
        issued = any(_issued(certificate, one) for one in certificates)
        if all_named or certificate is leaf or not issued:
            raise FormError("a certificate in its container is bound to nothing")


def _issued(certificate: x509.Certificate, issuer: x509.Certificate) -> bool:
    from cryptography import x509 as pyca

    try:
        child = pyca.load_der_x509_certificate(certificate.dump())
        child.verify_directly_issued_by(pyca.load_der_x509_certificate(issuer.dump()))
    except Exception:  # by any error: then it was not issued by this one
        return False
    return True


def _check_algorithms(signer: cms.SignerInfo, *, required: bool) -> None:
    """Compare the algorithms with what the signed attributes say of them."""
    for attribute in signer["signed_attrs"]:
        if attribute["type"].native == "cms_algorithm_protection":
            (protection,) = attribute["values"]
            same = protection["digest_algorithm"].untag().dump() == signer[
                "digest_algorithm"
            ].dump() and (
                protection["signature_algorithm"].untag().dump()
                == signer["signature_algorithm"].dump()
            )
            if not same:
                raise FormError("its algorithms are not those that were signed")
            return
    if required:
        raise FormError("its signed attributes do not name the algorithms")


def _stamps(signer: cms.SignerInfo) -> list[bytes]:
    """Return the time stamps on the signature; anything else there is bound to nothing."""
    found = []
    for attribute in signer["unsigned_attrs"] or ():
        if attribute["type"].native != "signature_time_stamp_token":
            raise FormError("its container holds an attribute that is bound to nothing")
        found += [token.dump() for token in attribute["values"]]
    return found


def _rebuilt(
    signed: cms.SignedData, signer: cms.SignerInfo, leaf: x509.Certificate, *, time_stamp: bool
) -> bytes:
    from asn1crypto import cms, core

    info: dict[str, Any] = {
        "version": "v1",
        "sid": cms.SignerIdentifier(
            "issuer_and_serial_number",
            cms.IssuerAndSerialNumber({"issuer": leaf.issuer, "serial_number": leaf.serial_number}),
        ),
        "digest_algorithm": _plain_digest(signer["digest_algorithm"]),
        "signed_attrs": signer["signed_attrs"],
        "signature_algorithm": signer["signature_algorithm"],
        "signature": core.OctetString(signer["signature"].native),
    }
    if signer["unsigned_attrs"]:
        info["unsigned_attrs"] = signer["unsigned_attrs"]
    inner: dict[str, Any] = {"content_type": "data"}
    if time_stamp:
        inner = {
            "content_type": "tst_info",
            "content": signed["encap_content_info"]["content"],
        }
    made = cms.SignedData(
        {
            # RFC 5652, 5.1: 3 where the content is not plain data, otherwise 1.
            "version": "v3" if time_stamp else "v1",
            "digest_algorithms": [_plain_digest(signer["digest_algorithm"])],
            "encap_content_info": inner,
            "certificates": signed["certificates"],
            "signer_infos": [info],
        }
    )
    return bytes(cms.ContentInfo({"content_type": "signed_data", "content": made}).dump())


def _plain_digest(algorithm: Any) -> Any:
    """Return a digest algorithm as it may be written: without parameters, or with none."""
    from asn1crypto import core
    from asn1crypto.algos import DigestAlgorithm

    name = algorithm["algorithm"].native
    if algorithm["parameters"].dump() == core.Null().dump():
        return DigestAlgorithm({"algorithm": name, "parameters": core.Null()})
    return DigestAlgorithm({"algorithm": name})
