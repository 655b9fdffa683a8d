"""What the handover screen shows: what is missing, what blocks, the contents, the signatures."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from commission_tui.errors import InputError
from commission_tui.handover.content.acceptance import (
    MEANING,
    NO_MEANING,
    ROLES,
    ExceptionRow,
    SignatureRow,
)
from commission_tui.handover.figure_text import as_sentence
from commission_tui.handover.outline import Outline
from commission_tui.handover.progress_steps import FORMATS
from commission_tui.handover.record import record_fingerprint, short_fingerprint
from commission_tui.logbook.actions.signature_entry import Consent, is_client, signature_body
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.acceptance_state import Acceptance
from commission_tui.logbook.judging.visits import visit_title
from commission_tui.screens.handover.signature_pad import Stroke
from commission_tui.screens.terminal.styled_text import Line, Part
from commission_tui.screens.widgets.form import Question
from commission_tui.text import counted, quoted, upper_first

STATEMENTS = {
    "integrator": "The results in this record were measured as stated.",
    "client": "I take over the wall as described in this record, with the exceptions it lists.",
    "consultant": "I have seen this record and the wall it describes.",
}
_CONTENTS: Sequence[tuple[str, str]] = (
    ("", "Cover"),
    ("", "On one page"),
    ("", "Operator's card"),
    ("", "Content specification"),
    ("", "Electrician's page"),
    ("", "Rigger's page"),
    ("", "Acceptance"),
    ("exceptions", "Exceptions"),
    ("open_items", "Faults that are still there"),
    ("", "As built, with drawings"),
    ("contradictions", "Contradictions between documents"),
    ("instruments", "Instruments"),
    ("limits", "Limits agreed, with who says so"),
    ("results", "Results, check by check"),
    ("revisits", "Later visits against the first"),
    ("punch_list", "Punch list with its history"),
    ("corrections", "Corrections"),
    ("notes", "Notes"),
    ("settings", "Settings as left, and their changes"),
    ("parts", "Parts by place and serial"),
    ("files", "Certificates, settings and other files"),
    ("", "Maintenance and warranty"),
    ("readings", "Every reading"),
    ("photos", "Photos"),
)
"""What the document holds, in its order; what is counted has a name."""


def half_typed_lines(half_typed: Sequence[str]) -> list[Line]:
    """Say what is half typed on the walk, which no signature covers."""
    return [((f"Half typed and not logged: {one}", "caution-text"),) for one in half_typed]


def left_lines(outline: Outline) -> list[Line]:
    """Say how the handover stands, who has to sign, and every exception."""
    lines: list[Line] = [
        (("The handover: ", "muted"), (outline.state, "strong")),
        ((outline.statement, ""),),
    ]
    if outline.visit is not None:
        visit = outline.visit
        lines.append(((f"{visit_title(visit.name)}: ", "muted"), (visit.state, "strong")))
        lines += [((f"- {line}", ""),) for line in (*visit.to_put_right, *visit.changed)]
    taken = outline.state.startswith("accepted")
    return [
        *lines,
        (("", ""),),
        *_listed("Not signed yet", outline.missing, "Both sides have signed"),
        (("", ""),),
        *_listed(
            "Exceptions taken" if taken else "Exceptions, if the client signed now",
            [f"{one.number}. {_exception_text(one)}" for one in outline.exceptions],
            "No exception: everything is as agreed",
        ),
    ]


def _exception_text(one: ExceptionRow) -> str:
    who = f" {as_sentence(f'{one.owner}, until {one.due}; {one.consent}')}" if one.owner else ""
    return f"{one.what}{who}{f' {upper_first(one.now)}.' if one.now else ''}"


def _listed(title: str, items: Sequence[str], none: str) -> list[Line]:
    if not items:
        return [((none, "pass"),)]
    head: tuple[Part, ...] = ((f"{title} ", "title"), (str(len(items)), "strong"))
    return [head, *(((item, ""),) for item in items)]


def right_lines(outline: Outline) -> list[Line]:
    """Say what the document holds and who has signed it."""
    lines: list[Line] = [(("The document", "title"),)]
    for key, title in _CONTENTS:
        count = str(outline.counts[key]) if key else ""
        lines.append(((f"  {title} ", ""), (count, "strong")))
    lines += [(("", ""),), (("Signatures", "title"),)]
    signed = {block.role for block in outline.signatures if block.signed}
    for block in outline.signatures:
        lines += _signature(block, again=block.role in signed)
    short = outline.fingerprint_short
    lines += [(("", ""),), (("Fingerprint of the record ", "muted"), (short, "strong"))]
    return lines


def _signature(block: SignatureRow, *, again: bool) -> list[Line]:
    role = (f"  {block.role}: ", "muted")
    if not block.signed:
        state = "not signed since" if again else "not signed"
        return [(role, (state, "marginal"))]
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


def unusual_role(typed: str) -> str:
    """Ask about a role that is none of the known ones; a name is easily typed there."""
    role = typed.strip()
    if not role or role_of(role) in ROLES:
        return ""
    return f"{quoted(role)} is no role that is usual: Enter again takes it"


_ROLES = " ".join(f"{number} {role}" for number, role in enumerate(ROLES, start=1))
ROLE = Question("role", "Role", hint=f"{_ROLES}, or another", odd=unusual_role)
"""Asked of whoever signs."""


@dataclass(frozen=True, slots=True)
class Signing:
    """Who signs, as typed, before what a client decides is asked."""

    shown: str
    """The fingerprint of the record that was shown."""
    role: str
    name: str
    organisation: str | None
    statement: str
    refuses: bool = False

    def made(
        self, job: OpenJob, taken: Mapping[str, Consent], strokes: tuple[Stroke, ...] | None = None
    ) -> e.Signature:
        """Make the entry.

        Raises
        ------
        InputError
            When the record is not the one shown any more, or an exception is not taken.
        """
        job.refresh()  # another program may have logged while the name was drawn
        if record_fingerprint(job) != self.shown:
            raise InputError(
                "signature: the record has changed meanwhile; close this and look again"
            )
        return signature_body(
            job,
            role=self.role,
            name=self.name,
            organisation=self.organisation,
            statement=self.statement,
            taken=taken,
            refuses=self.refuses,
            strokes=strokes,
        )


def signing(job: OpenJob, shown: str, answers: Mapping[str, str]) -> Signing:
    """Read who signs.

    Raises
    ------
    InputError
        When an answer is missing, the record has changed, or a hazard is open that nobody may accept.
    """
    role = role_of(answers["role"])
    statement = answers["statement"].strip()
    refuses = is_client(role) and statement.lower().startswith("refuse")
    if refuses and not statement.partition(" ")[2].strip():
        raise InputError("statement: found no reason, expected why it is refused")
    made = Signing(
        shown,
        role,
        answers["name"].strip(),
        answers["organisation"].strip() or None,
        statement or STATEMENTS.get(role, ""),
        refuses,
    )
    # Whether it can be an entry at all is told now; the exceptions are asked next.
    far = date(9999, 12, 31)
    made.made(job, {item.key: Consent("?", far, "?") for item in job.acceptance().left})
    return made


def signer_questions(kept: Mapping[str, str]) -> list[Question]:
    """Ask who signs; filled in with what was typed before and came to no signature."""
    asked = (
        ROLE,
        Question("name", "Name, as printed"),
        Question("organisation", "Organisation", hint="optional"),
        Question("statement", "Statement", hint="empty takes the usual one for the role"),
    )
    return [replace(question, value=kept.get(question.key, "")) for question in asked]


def kept_lines(kept: Mapping[str, str], taken: int) -> list[Line]:
    """Say what is kept of an attempt to sign that came to nothing; nothing where there was none."""
    said = ["what was typed here"] if kept else []
    said += [f"{counted(taken, 'exception')} taken"] if taken else []
    return [((f"Kept and not signed: {' and '.join(said)}", "caution-text"),)] if said else []


def meaning_lines(fingerprint: str, stands: Acceptance) -> list[Line]:
    """Say what a signature means before somebody gives one."""
    lines: list[Line] = [((text, "muted"),) for text in (*MEANING, NO_MEANING[0])]
    many = counted(len(stands.left), "exception")
    lines.append(((f"A client is asked to take {many}; 'refuse' and why in the statement refuses. "
                   if stands.left else "Everything is as agreed. ", "strong" if stands.left else "pass"),
                  ("Record ", "muted"), (short_fingerprint(fingerprint), "strong")))  # fmt: skip
    return lines


USUAL = "usual"
USUAL_FORMATS = tuple(form for form in FORMATS if form != "png")


def formats_of(typed: str) -> tuple[str, ...]:
    """Return the formats that are typed, in words; `usual` stands for all but pictures.

    Raises
    ------
    InputError
        When one is unknown or none is given.
    """
    words: list[str] = []
    for word in typed.replace(",", " ").lower().split():
        words += USUAL_FORMATS if word == USUAL else (word,)
    unknown = [word for word in words if word not in FORMATS]
    if unknown or not words:
        found = unknown[0][:40] if unknown else "nothing"
        raise InputError(f"formats: found {found!r}, expected some of {' '.join(FORMATS)}")
    return tuple(dict.fromkeys(words))


def written_text(paths: Sequence[Path]) -> str:
    """Say what was written and where: the document by name, the rest by number."""
    first, *others = sorted(
        paths, key=lambda path: (path.suffix != ".pdf", len(path.name), path.name)
    )
    more = f" and {len(others)} more" if others else ""
    return f"Written to {first.parent.absolute()}: {first.name}{more}"
