"""Each signature of a document: who, when, over which bytes, and whether it holds.

The cryptography is pyHanko's; what it does not cover is held by `cms_form`, and that the last
signature reaches to the end of the file is demanded here.
"""

from __future__ import annotations

import re
import warnings
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from commission_tui.errors import DocumentError
from commission_tui.handover.font_coverage import shown_text
from commission_tui.handover.verify.container_check import FormError, check_container
from commission_tui.handover.verify.pdf_reading import OpenedPdf, entry, one_line
from commission_tui.text import counted

if TYPE_CHECKING:
    from asn1crypto import x509
    from pyhanko.sign.validation import EmbeddedPdfSignature, PdfSignatureStatus

_CONTAINER = re.compile(rb"/Contents\s*<[0-9A-Fa-f]{1000,}>")
"""What only a signature's container looks like."""


@dataclass(frozen=True, slots=True)
class SignatureFound:
    """One signature as it was checked."""

    field: str
    name: str
    """As the signer says."""
    reason: str
    subject: str
    """As the certificate says."""
    certificate_sha256: str
    signed_at: str
    """By the signer's own clock."""
    stamped_at: str
    """By a time-stamp authority; empty without one."""
    covers_bytes: int
    of_bytes: int
    trusted: bool
    trust: str
    failures: tuple[str, ...]

    @property
    def holds(self) -> bool:
        """Whether what it covers is as it was signed; not whether its certificate is trusted."""
        return not self.failures

    @property
    def covers(self) -> str:
        if self.covers_bytes == self.of_bytes:
            return "the whole file"
        added = self.of_bytes - self.covers_bytes
        return f"the first {counted(self.covers_bytes, 'byte')}; {counted(added, 'byte')} added after it"


def looks_signed(content: bytes) -> int:
    """Return how many containers of signatures a file seems to hold, whatever its structure says."""
    return len(_CONTAINER.findall(content))


def signatures_of(pdf: OpenedPdf, trusted: Sequence[x509.Certificate]) -> list[SignatureFound]:
    """Check every signature of a document, the first one first.

    Raises
    ------
    DocumentError
        When the signatures cannot be read at all.
    """
    with one_line(f"{pdf.name}: signatures"), warnings.catch_warnings():
        warnings.simplefilter("ignore")
        found = sorted(pdf.reader.embedded_signatures, key=_end)
        checked = [_checked(pdf, one, trusted, last=one is found[-1]) for one in found]
        if len(found) > 1 and all(one.holds for one in checked):
            # What was added is compared object by object, which is slow: only where all else holds.
            checked = [
                _checked(pdf, one, trusted, last=one is found[-1], added=True) for one in found
            ]
    if looks_signed(pdf.content) > len(checked):
        raise DocumentError(
            f"{pdf.name}: signatures: found one that the file's structure no longer leads to"
        )
    return checked


def _end(signature: EmbeddedPdfSignature) -> int:
    numbers = [int(number) for number in signature.byte_range]
    if len(numbers) != 4:
        raise DocumentError("signatures: found one that does not say what it covers")
    return numbers[2] + numbers[3]


def _checked(
    pdf: OpenedPdf,
    signature: EmbeddedPdfSignature,
    trusted: Sequence[x509.Certificate],
    *,
    last: bool,
    added: bool = False,
) -> SignatureFound:
    from pyhanko.sign.validation import validate_pdf_signature
    from pyhanko.sign.validation.settings import KeyUsageConstraints

    field = str(signature.field_name)
    failures = [*_range_failures(pdf.content, signature, last=last)]
    status = validate_pdf_signature(
        signature,
        signer_validation_context=_context(trusted, _claimed(signature)),
        key_usage_settings=KeyUsageConstraints(key_usage=set()),
        skip_diff=not added,
    )
    failures += _status_failures(status)
    stamp = status.timestamp_validity
    if stamp is not None and not (stamp.intact and stamp.valid):
        failures.append("its time stamp does not hold")
    certificate = signature.signer_cert
    sound = status.valid and status.intact
    words = signature.sig_object
    return SignatureFound(
        field=field,
        name=shown_text(str(entry(words, "/Name") or "")),
        reason=shown_text(str(entry(words, "/Reason") or "")),
        subject=shown_text(str(certificate.subject.human_friendly)),
        certificate_sha256=bytes(certificate.sha256).hex(),
        signed_at=_utc(_claimed(signature)),
        stamped_at=_utc(stamp.timestamp) if stamp is not None else "",
        covers_bytes=_end(signature),
        of_bytes=len(pdf.content),
        trusted=sound and status.trusted,
        trust=_trust(status, certificate),
        failures=tuple(failures),
    )


def _range_failures(content: bytes, signature: EmbeddedPdfSignature, *, last: bool) -> list[str]:
    """Check that it covers all but its own container, and what stands in that."""
    start, length, again, rest = (int(number) for number in signature.byte_range)
    failures = []
    if start != 0 or not 0 < length < again or rest <= 0 or again + rest > len(content):
        return ["it does not cover the file from its beginning"]
    if last and again + rest != len(content):
        failures.append(f"{len(content) - again - rest} bytes after it are signed by nobody")
    try:
        check_container(content[length:again])
    except FormError as error:
        failures.append(str(error))
    return failures


def _status_failures(status: PdfSignatureStatus) -> list[str]:
    from pyhanko.sign.diff_analysis import ModificationLevel
    from pyhanko.sign.validation.status import SignatureCoverageLevel

    failures = []
    if not status.intact:
        failures.append("the bytes that it covers were changed")
    elif not status.valid:
        failures.append("it was not made with the key of its certificate")
    if status.coverage not in (
        SignatureCoverageLevel.ENTIRE_FILE,
        SignatureCoverageLevel.ENTIRE_REVISION,
    ):
        failures.append("it does not cover its whole revision of the file")
    if status.modification_level is ModificationLevel.OTHER or status.docmdp_ok is False:
        failures.append("what was added after it is more than a further signature")
    return failures


def _claimed(signature: EmbeddedPdfSignature) -> datetime | None:
    return signature.self_reported_timestamp


def _utc(moment: datetime | None) -> str:
    return "" if moment is None else f"{moment.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}"


def _context(trusted: Sequence[x509.Certificate], at: datetime | None) -> Any:
    """Vouch by the given certificates only, never by a network, at the time of signing."""
    from pyhanko_certvalidator import ValidationContext

    return ValidationContext(
        trust_roots=list(trusted), allow_fetching=False, moment=at or datetime.now(UTC)
    )


def _trust(status: PdfSignatureStatus, certificate: x509.Certificate) -> str:
    digest = bytes(certificate.sha256).hex()
    valid = certificate["tbs_certificate"]["validity"]
    ends = valid["not_after"].native.date().isoformat()
    if status.trusted:
        return f"its certificate was issued by one that was given as trusted; valid to {ends}"
    who = "itself" if certificate.self_issued else "an issuer that was not given as trusted"
    return (
        f"its certificate was issued by {who}, not trusted on this machine: compare its "
        f"SHA-256 with what the signer tells you: {digest}; valid to {ends}"
    )
