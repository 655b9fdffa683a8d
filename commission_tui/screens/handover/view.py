"""What the handover screen shows: what is missing, what blocks, the contents, the signatures."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from commission_tui.errors import InputError
from commission_tui.handover import FORMATS, record_fingerprint, short_fingerprint
from commission_tui.handover.content.acceptance import (
    DRAFT,
    FOR_SIGNATURE,
    MEANING,
    NO_MEANING,
    ROLES,
    SIGNED,
    SignatureRow,
)
from commission_tui.handover.outline import Outline
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.job import OpenJob
from commission_tui.screens.terminal.styled_text import Line, Part
from commission_tui.text import counted

STATEMENTS = {
    "integrator": "The results in this record were measured as stated.",
    "client": "I take over the wall as described in this record, with the exceptions it lists.",
    "consultant": "I have seen this record and the wall it describes.",
}
_CONTENTS: Sequence[tuple[str, str]] = (
    ("exceptions", "Accepted exceptions"),
    ("open_items", "Open items"),
    ("contradictions", "Contradictions between documents"),
    ("results", "Results, check by check"),
    ("instruments", "Instruments"),
    ("limits", "Limits agreed, with who says so"),
    ("settings", "Settings as left, and their changes"),
    ("punch_list", "Punch list with its history"),
    ("corrections", "Corrections"),
    ("parts", "Parts by place and serial"),
    ("files", "Certificates, settings and other files"),
    ("revisits", "Later visits against the first"),
    ("notes", "Notes"),
    ("readings", "Every reading"),
    ("photos", "Photos"),
)
_SINGLE = (
    "Cover",
    "Acceptance statement",
    "As-built data and drawings",
    "Content specification",
    "Operator's card",
    "Maintenance and warranty",
)
_STATE_WORDS = {DRAFT: "a draft", FOR_SIGNATURE: "ready for signature", SIGNED: "signed"}


def left_lines(outline: Outline, blocking: Sequence[str]) -> list[Line]:
    """Say how the handover stands, what is missing and what blocks acceptance."""
    state = f"{_STATE_WORDS[outline.state]}; {outline.verdict}"
    return [
        (("The document is ", "muted"), (state, "strong")),
        ((outline.statement, ""),),
        (("", ""),),
        *_listed("Still missing for both sides to sign", outline.missing, "Nothing missing"),
        (("", ""),),
        *_listed("Blocks acceptance", blocking, "Nothing blocks acceptance"),
    ]


def _listed(title: str, items: Sequence[str], none: str) -> list[Line]:
    if not items:
        return [((none, "pass"),)]
    head: tuple[Part, ...] = ((f"{title} ", "title"), (str(len(items)), "strong"))
    return [head, *(((f"- {item}", ""),) for item in items)]


def right_lines(outline: Outline) -> list[Line]:
    """Say what the document holds and who has signed it."""
    lines: list[Line] = [(("The document", "title"),)]
    lines += [((f"  {title}", ""),) for title in _SINGLE]
    for key, title in _CONTENTS:
        lines.append(((f"  {title} ", ""), (str(outline.counts[key]), "strong")))
    lines += [(("", ""),), (("Signatures", "title"),)]
    for block in outline.signatures:
        lines += _signature(block)
    short = outline.fingerprint_short
    lines += [(("", ""),), (("Fingerprint of the record ", "muted"), (short, "strong"))]
    return lines


def _signature(block: SignatureRow) -> list[Line]:
    role = (f"  {block.role}: ", "muted")
    if not block.signed:
        return [(role, ("not signed", "marginal"))]
    return [
        (role, (block.name, "strong"), (f"  {block.at}", "muted")),
        ((f"    {block.stands}", "muted"),),
    ]


def role_of(typed: str) -> str:
    """Return a role from its number, its first letters, or another role in words."""
    text = typed.strip().lower()
    if text.isdecimal() and 1 <= int(text) <= len(ROLES):
        return ROLES[int(text) - 1]
    begun = [role for role in ROLES if text and role.startswith(text)]
    return begun[0] if len(begun) == 1 else text


def still_shown(job: OpenJob, shown: str) -> None:
    """Raise InputError when the record is not the one that was shown to the signer."""
    if record_fingerprint(job) != shown:
        raise InputError("signature: the record has changed meanwhile; close this and look again")


def signature(job: OpenJob, shown: str, answers: Mapping[str, str]) -> e.Signature:
    """Make a signature under the record as it was shown.

    Raises
    ------
    InputError
        When the record is not the one shown any more, or an answer is missing.
    """
    still_shown(job, shown)
    role = role_of(answers["role"])
    return body(
        e.Signature,
        role=role,
        name=answers["name"],
        organisation=answers["organisation"].strip() or None,
        statement=answers["statement"].strip() or STATEMENTS.get(role, ""),
        fingerprint=shown,
        exceptions=len(job.blocking()),
    )


def meaning_lines(fingerprint: str, blocking: int) -> list[Line]:
    """Say what a signature means before somebody gives one."""
    lines: list[Line] = [((text, "muted"),) for text in (*MEANING, NO_MEANING[0])]
    verb = "blocks" if blocking == 1 else "block"
    lines.append(((f"{counted(blocking, 'item')} {verb} acceptance. ", "strong" if blocking else "pass"),
                  ("Record ", "muted"), (short_fingerprint(fingerprint), "strong")))  # fmt: skip
    return lines


def formats_of(typed: str) -> tuple[str, ...]:
    """Return the formats that are typed, in words.

    Raises
    ------
    InputError
        When one is unknown or none is given.
    """
    words = typed.replace(",", " ").lower().split()
    unknown = [word for word in words if word not in FORMATS]
    if unknown or not words:
        found = unknown[0][:40] if unknown else "nothing"
        raise InputError(f"formats: found {found!r}, expected some of {' '.join(FORMATS)}")
    return tuple(dict.fromkeys(words))


USUAL_FORMATS = tuple(form for form in FORMATS if form != "png")


def written_text(paths: Sequence[Path]) -> str:
    """Say what was written and where: the document by name, the rest by number."""
    first, *others = sorted(
        paths, key=lambda path: (path.suffix != ".pdf", len(path.name), path.name)
    )
    more = f" and {len(others)} more" if others else ""
    return f"Written to {first.parent.absolute()}: {first.name}{more}"
