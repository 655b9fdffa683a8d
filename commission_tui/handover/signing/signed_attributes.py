"""What a signature of this program also covers of its own container: certificates and algorithms."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from asn1crypto import cms, tsp, x509
from pyhanko.sign.attributes import (
    CMSAlgorithmProtectionProvider,
    CMSAttributeProvider,
    SignedAttributeProviderSpec,
)
from pyhanko.sign.general import as_signing_certificate_v2
from pyhanko.sign.signers.pdf_cms import Signer


class _AllCertificates(CMSAttributeProvider):
    """The signing-certificate attribute with every certificate of the container (RFC 5035, 5.4)."""

    attribute_type = "signing_certificate_v2"

    def __init__(self, certificates: Sequence[x509.Certificate]) -> None:
        self._certificates = certificates

    async def build_attr_value(self, dry_run: bool = False) -> tsp.SigningCertificateV2:  # noqa: ARG002
        named = [as_signing_certificate_v2(one)["certs"][0] for one in self._certificates]
        return tsp.SigningCertificateV2({"certs": named})


class Binding(SignedAttributeProviderSpec):
    """The signed attributes of PAdES baseline B, naming all certificates and the algorithms."""

    def __init__(self, signer: Signer) -> None:
        self._signer = signer

    def signed_attr_providers(
        self,
        data_digest: bytes,  # noqa: ARG002
        digest_algorithm: str,
    ) -> Iterable[CMSAttributeProvider]:
        signer: Any = self._signer
        own: x509.Certificate = signer.signing_cert
        others = sorted(
            (one for one in signer.cert_registry if one.dump() != own.dump()),
            key=lambda one: bytes(one.sha256),
        )
        mechanism: cms.SignedDigestAlgorithm = signer.get_signature_mechanism_for_digest(
            digest_algorithm
        )
        yield _AllCertificates([own, *others])
        yield CMSAlgorithmProtectionProvider(digest_algorithm, mechanism)
