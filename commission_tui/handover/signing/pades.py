"""What this program adds to the library's signing (PAdES baseline B).

An incremental update that leaves a tagged PDF/A-3 file what it is, and what a signature also covers of its
own container: certificates and algorithms.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from asn1crypto import cms, tsp, x509
from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.extensions import DeveloperExtension
from pyhanko.pdf_utils.generic import pdf_name
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.sign.attributes import (
    CMSAlgorithmProtectionProvider,
    CMSAttributeProvider,
    SignedAttributeProviderSpec,
)
from pyhanko.sign.general import as_signing_certificate_v2
from pyhanko.sign.signers.pdf_cms import Signer

from commission_tui.handover.verify.pdf_reading import dictionary_entry


class ArchivalUpdate(IncrementalPdfFileWriter):
    """Keeps the version, 1.7 as PDF/A-3 demands, and the metadata, which says who made the document.

    The reader would otherwise raise the version to 2.0 for a key on an elliptic curve, and lay out the
    XMP metadata anew.
    """

    def ensure_output_version(self, version: tuple[int, int]) -> None:  # noqa: ARG002
        self.output_version = (1, 7)

    def register_extension(self, ext: DeveloperExtension) -> None:
        if str(ext.base_version) == "/1.7":
            super().register_extension(ext)

    def _update_meta(self) -> None:
        pass

    def tag_fields(self) -> None:
        """Give every field on the last page a Form element that a reader of the tags comes to.

        So that a tagged file stays one (ISO 14289-1, 7.18.4).
        """
        tree: Any = dictionary_entry(self.root, "/StructTreeRoot")
        numbers: Any = dictionary_entry(dictionary_entry(tree, "/ParentTree"), "/Nums")
        if numbers is None:
            return
        page_ref = self.find_page_for_modification(-1)[0]  # type: ignore[no-untyped-call]
        kids = tree["/K"]
        # The element that holds the whole document.
        above: Any = (
            kids.raw_get(len(kids) - 1)
            if isinstance(kids, generic.ArrayObject)
            else tree.raw_get("/K")
        )
        following = int(dictionary_entry(tree, "/ParentTreeNextKey") or len(numbers) // 2)
        for field_ref in self.root["/AcroForm"].raw_get("/Fields"):
            widget = field_ref.get_object()
            field = {"/Type": pdf_name("/OBJR"), "/Obj": field_ref, "/Pg": page_ref}
            form = {
                "/Type": pdf_name("/StructElem"),
                "/S": pdf_name("/Form"),
                "/P": above,
                "/Pg": page_ref,
                "/Alt": widget["/TU"],
                "/K": _dictionary(field),
            }
            element = self.add_object(_dictionary(form))
            widget[pdf_name("/StructParent")] = generic.NumberObject(following)
            self.mark_update(field_ref.reference)
            numbers.append(generic.NumberObject(following))
            numbers.append(element)
            self._add_kid(above, element)
            following += 1
        tree[pdf_name("/ParentTreeNextKey")] = generic.NumberObject(following)
        self.update_container(numbers)
        self.update_container(tree)

    def _add_kid(self, above: Any, element: Any) -> None:
        parent = above.get_object()
        kids: Any = dictionary_entry(parent, "/K")
        if isinstance(kids, generic.ArrayObject):
            kids.append(element)
            self.update_container(kids)
        else:
            before = [] if kids is None else [parent.raw_get("/K")]
            parent[pdf_name("/K")] = generic.ArrayObject([*before, element])
        self.mark_update(above.reference)


def _dictionary(entries: dict[str, Any]) -> generic.DictionaryObject:
    return generic.DictionaryObject({pdf_name(key): value for key, value in entries.items()})


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
