"""What was found of a file: each thing that was looked at, who signed, and the answer to it all."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from commission_tui.handover.verify.parse_document import ReadBack
from commission_tui.handover.verify.pdf_reading import OpenedPdf
from commission_tui.text import counted, escaped

Kind = Literal["document", "record", "database"]
Proof = Literal["proved", "changed", "unproved", "other"]
"""Intact and signed by key (or a logbook as it was written); changed, or otherwise than its own record
gives; intact for all that can be told, and nothing proves it; nothing of this program."""


_OWN = frozenset({
    "document", "record", "contents", "pages", "results", "fingerprint", "signed record", "chain",
    "database",
})  # fmt: skip
"""What is looked at in the file alone; the rest is its signatures, and what other places hold."""


BYTES_CHANGED = "the bytes that it covers were changed"
"""A failure of a signature that nothing but another file than the signed one explains."""


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
    advice: tuple[str, ...] = ()
    """What is worth knowing and no failure."""

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


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that was looked at; `holds` is None where nobody can tell."""

    what: str
    holds: bool | None
    said: str


@dataclass(slots=True)
class Verification:
    """What was found of a file."""

    kind: Kind
    sha256: str
    findings: list[Finding] = field(default_factory=list)
    signatures: list[SignatureFound] = field(default_factory=list)
    document: str = ""
    """The number that a document calls itself by."""
    supplements: str = ""
    is_other: bool = False
    """Whether it is no file of ours, or so little of one that nothing tells."""
    read: ReadBack | None = field(default=None, repr=False)
    """The job in it, where it could be read."""
    set_again: OpenedPdf | None = field(default=None, repr=False)
    """The document as its record gives it, where that could be set."""

    @property
    def holds(self) -> bool:
        """Whether nothing that was looked at fails; an unsigned file can hold."""
        return all(finding.holds is not False for finding in self.findings)

    @property
    def proof(self) -> Proof:
        if self.is_other:
            return "other"
        if not self.holds:
            return "changed"
        if self.kind == "database":
            return "unproved" if self._is_unchained else "proved"
        pages = [one.holds for one in self.findings if one.what == "pages"]
        vouched = bool(self.signatures) and all(one.trusted for one in self.signatures)
        proved = bool(self.signatures) and (pages == [True] or vouched)
        return "proved" if proved else "unproved"

    @property
    def said(self) -> str:
        """The answer in one line."""
        if self.is_other:
            return f"cannot be verified: {self.meaning}; {self.first_failure}"
        if not self.holds:
            meaning = f"{self.meaning}; " if self.meaning else ""
            return f"does not hold: {meaning}{self.first_failure}"
        if self.kind == "database":
            return "nothing in it proves that it was not changed" if self._is_unchained else "holds"
        if not self.signatures:
            return "intact in itself, and nothing proves it: nobody signed it with a key"
        if self.proof == "unproved":
            return (
                "signed with a key, but nothing here proves that its pages follow from its record"
            )
        if all(one.trusted for one in self.signatures):
            return "holds: intact, and signed with keys that are vouched for"
        return "holds: intact and signed with a key; nobody vouches here for whose key it is"

    @property
    def meaning(self) -> str:
        """What it means that it does not hold; nothing where the file itself is as it was made."""
        if self.is_other:
            return "this is no document and no record of this program, or only a part of one"
        failed = {one.what for one in self.findings if one.holds is False}
        signed_otherwise = any(BYTES_CHANGED in one.failures for one in self.signatures)
        if not (failed & _OWN or signed_otherwise):
            return ""
        if self.kind == "database" and "database" not in failed:
            return (
                "what it keeps of its results is not what its entries give: changed, or worked out "
                "by another version of the program"
            )
        return "this file was changed, or damaged, after it was made"

    @property
    def _is_unchained(self) -> bool:
        return any(one.what == "chain" and one.holds is None for one in self.findings)

    @property
    def first_failure(self) -> str:
        failed = (f"{one.what}: {one.said}" for one in self.findings if one.holds is False)
        return next(failed, "")

    def add(self, what: str, holds: bool | None, detail: str) -> None:
        # What a file says of itself may be repeated in it, and moves no cursor.
        self.findings.append(Finding(what, holds, escaped(detail)))
