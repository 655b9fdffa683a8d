"""Each signature of a document: who, when, over which bytes, and whether it holds.

The cryptography is pyHanko's; what it does not cover is held by `container_check`, and that the last
signature reaches to the end of the file is demanded here. Of a signature by another program only what
its standard asks for is demanded (PAdES baseline B, ETSI EN 319 142-1); what it leaves out beyond that
is told.
"""

from __future__ import annotations

import re
import unicodedata
import warnings
from collections.abc import Sequence
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from commission_tui.errors import DocumentError
from commission_tui.handover.font_coverage import shown_text
from commission_tui.handover.verify.container_check import (
    FormError,
    check_container,
    check_message,
)
from commission_tui.handover.verify.pdf_reading import (
    PROGRAM,
    OpenedPdf,
    as_document_error,
    dictionary_entry,
    made_by,
)
from commission_tui.handover.verify.verification_result import BYTES_CHANGED, SignatureFound
from commission_tui.text import quoted

if TYPE_CHECKING:
    from asn1crypto import x509
    from pyhanko.sign.validation import EmbeddedPdfSignature, PdfSignatureStatus

_TITLES = frozenset({"mr", "mrs", "ms", "miss", "dr", "prof"})
_CONTAINER = re.compile(rb"/Contents\s*<[0-9A-Fa-f]{1000,}>")
"""What only a signature's container looks like."""


def signatures_of(pdf: OpenedPdf, trusted: Sequence[x509.Certificate]) -> list[SignatureFound]:
    """Check every signature of a document, the first one first.

    Raises
    ------
    DocumentError
        When the signatures cannot be read at all.
    """
    with as_document_error(f"{pdf.name}: signatures"), warnings.catch_warnings():
        warnings.simplefilter("ignore")
        found = sorted(pdf.reader.embedded_signatures, key=_end)
        checked = [_checked(pdf, one, trusted, found[-1]) for one in found]
        if len(found) > 1 and all(one.holds for one in checked):
            # What was added is compared object by object, which is slow: only where all else holds.
            checked = [_checked(pdf, one, trusted, found[-1], added=True) for one in found]
    if len(_CONTAINER.findall(pdf.content)) > len(checked):
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
    last: EmbeddedPdfSignature,
    *,
    added: bool = False,
) -> SignatureFound:
    from pyhanko.sign.validation import validate_pdf_signature
    from pyhanko.sign.validation.settings import KeyUsageConstraints

    failures, advice = _outside_its_reach(pdf.content, signature, last=signature is last)
    status = validate_pdf_signature(
        signature,
        signer_validation_context=_context(trusted, signature),
        key_usage_settings=KeyUsageConstraints(key_usage=set()),
        skip_diff=not added,
    )
    failures += _status_failures(status)
    stamp = status.timestamp_validity
    if stamp is not None and not (stamp.intact and stamp.valid):
        failures.append("its time stamp does not hold")
    certificate, at = signature.signer_cert, signature.self_reported_timestamp
    if at and not certificate.not_valid_before <= at <= certificate.not_valid_after:
        failures.append("its certificate was not valid at the time of signing")
    sound = status.valid and status.intact
    words = signature.sig_object
    name = shown_text(str(dictionary_entry(words, "/Name") or ""))
    subject = common_name(certificate.subject)
    if name and not names_fit(name, subject):
        advice.append(f"it names {quoted(name, 60)}, its key is {quoted(subject, 60)}'s")
    return SignatureFound(
        field=str(signature.field_name),
        name=name,
        reason=shown_text(str(dictionary_entry(words, "/Reason") or "")),
        subject=shown_text(str(certificate.subject.human_friendly)),
        certificate_sha256=bytes(certificate.sha256).hex(),
        signed_at=_utc(at),
        stamped_at=_utc(stamp.timestamp) if stamp is not None else "",
        covers_bytes=_end(signature),
        of_bytes=len(pdf.content),
        trusted=sound and status.trusted,
        trust=_trust(status, certificate),
        failures=tuple(failures),
        advice=tuple(advice),
    )


def _outside_its_reach(
    content: bytes, signature: EmbeddedPdfSignature, *, last: bool
) -> tuple[list[str], list[str]]:
    """Check that it covers all but its own container, and what stands in that.

    Returns failures and advice. This program's signatures bind all of the container, and say that they
    are this program's where they cover it; other programs' need not.
    """
    start, length, again, rest = (int(number) for number in signature.byte_range)
    failures: list[str] = []
    advice: list[str] = []
    if start != 0 or not 0 < length < again or rest <= 0 or again + rest > len(content):
        return ["it does not cover the file from its beginning"], advice
    if last and again + rest != len(content):
        failures.append(f"{len(content) - again - rest} bytes after it are signed by nobody")
    try:
        message = check_container(content[length:again])
    except FormError as error:
        return [*failures, str(error)], advice
    try:
        check_message(message)
    except FormError as error:
        is_ours = made_by(signature.sig_object) == PROGRAM
        (failures if is_ours else advice).append(str(error))
    return failures, advice


def _status_failures(status: PdfSignatureStatus) -> list[str]:
    from pyhanko.sign.diff_analysis import ModificationLevel
    from pyhanko.sign.validation.status import SignatureCoverageLevel

    failures = []
    if not status.intact:
        failures.append(BYTES_CHANGED)
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


def _utc(moment: datetime | None) -> str:
    return "" if moment is None else f"{moment.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}"


def _context(trusted: Sequence[x509.Certificate], signature: EmbeddedPdfSignature) -> Any:
    """Vouch by the given certificates only, never by a network, at the time of signing.

    A certificate of an authority vouches for those that it issued; one of a signer for itself alone,
    so that whoever holds a trusted key cannot make another person's certificate with it.
    """
    from pyhanko_certvalidator import ValidationContext

    own = signature.signer_cert.dump()
    roots = [one for one in trusted if one.ca or one.dump() == own]
    at = signature.self_reported_timestamp or datetime.now(UTC)
    return ValidationContext(trust_roots=roots, allow_fetching=False, moment=at)


def _trust(status: PdfSignatureStatus, certificate: x509.Certificate) -> str:
    digest = bytes(certificate.sha256).hex()
    valid = certificate["tbs_certificate"]["validity"]
    ends = valid["not_after"].native.date().isoformat()
    if status.trusted:
        return f"its certificate is vouched for by one that was given as trusted; valid to {ends}"
    who = "itself" if certificate.self_issued else "an issuer that was not given as trusted"
    return (
        f"its certificate was issued by {who}, so nobody vouches for it here: compare its "
        f"SHA-256 with what the signer tells you: {digest}; valid to {ends}"
    )


def common_name(subject: x509.Name) -> str:
    """Return whom a certificate is for: a common name, or all that it says."""
    found = subject.native.get("common_name", "")
    return shown_text(str(found if isinstance(found, str) and found else subject.human_friendly))


def names_fit(named: str, subject: str) -> bool:
    """Whether a key's certificate is for who a signature names: a person, or after a comma a firm.

    Case, titles and how characters are composed do not count.
    """
    person, _, organisation = named.partition(",")
    return _plain_name(subject) in map(_plain_name, (named, person, organisation))


def _plain_name(text: str) -> str:
    words = [word.strip(".") for word in unicodedata.normalize("NFKC", text).casefold().split()]
    return " ".join(word for word in words if word not in _TITLES)
