"""Signing a document's file with a key, and making a key for who has none: each asked in one form."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import closing
from dataclasses import dataclass, field, replace
from pathlib import Path

from commission_tui.errors import CommissionError, InputError
from commission_tui.handover.document_number import document_stem
from commission_tui.handover.record import record_fingerprint
from commission_tui.handover.signing.document_signing import (
    exceptions_of,
    is_draft,
    usual_statement,
)
from commission_tui.handover.signing.keys import (
    SHORTEST_PASSPHRASE,
    KeyMade,
    check_new,
    key_folder,
    new_key,
    open_to_others,
    other_owner,
    read_key,
)
from commission_tui.handover.signing.passphrase_strength import is_weak, strength
from commission_tui.handover.signing.signing_log import earlier_state, sign_file
from commission_tui.handover.typeset.signature_block import SignatureBlock
from commission_tui.handover.verify.pdf_reading import read_file
from commission_tui.handover.writing import file_stem
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import Logbook
from commission_tui.screens.handover import view as handover_view
from commission_tui.screens.shared.photo_dialog import typed_path
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.screens.widgets.form import Form, Question
from commission_tui.subprocess_job import Step
from commission_tui.text import quoted


@dataclass(frozen=True, slots=True)
class SigningRequest:
    """What to sign, with what, and as whom."""

    file: Path
    key: Path
    role: str
    name: str
    organisation: str
    statement: str
    """Empty for the usual one of the role."""
    passphrase: str = field(repr=False)


def known_keys() -> list[Path]:
    """Return the keys in the folder where new ones are put."""
    try:
        return sorted(key_folder().glob("*.p12"))
    except (CommissionError, OSError):
        return []


def document_in(folder: Path, job: OpenJob) -> Path:
    """Return where an export puts the document."""
    return folder / f"{document_stem(job.state, record_fingerprint(job))}.pdf"


def form(
    job: OpenJob,
    folder: Path,
    start: Callable[[SigningRequest], None],
    tried: SigningRequest | None = None,
) -> Form:
    """Ask for file, key, signer and passphrase; the passphrase is kept nowhere.

    Of what was `tried` and came to nothing all else is filled in.
    """
    keys = known_keys()
    listed = "  ".join(f"{number} {key.stem}" for number, key in enumerate(keys[:6], start=1))
    file, key = document_in(folder, job), "1" if keys else ""
    role = name = statement = ""
    if tried is not None:
        file, role = tried.file, tried.role
        statement = tried.statement
        key = str(keys.index(tried.key) + 1 if tried.key in keys else tried.key)
        name = ", ".join(filter(None, (tried.name, tried.organisation)))
    notes: list[Line] = [
        (
            ("The file gets the signature; write it with ", "muted"),
            ("e", "key"),
            (" first. Further signers sign the same file, one after the other.", "muted"),
        )
    ]
    if not is_file(str(file)):
        notes.append(((f"{file.name} is not there yet", "caution-text"),))

    def file_is_there(_: str) -> None:
        # One begins at the passphrase, so that it is typed into no line that shows it.
        _file(made.answers()["file"])

    made = Form(
        "Sign the file with a key",
        [
            Question("file", "File", str(file.absolute()), check=_file, kept=is_file),
            Question(
                "key",
                "Key",
                key,
                listed or _NO_KEY,
                check=lambda typed: _key(typed.strip(), keys),
                kept=lambda typed: typed.strip().isdecimal() or is_file(typed),
            ),
            Question("passphrase", "Passphrase of the key", secret=True, check=file_is_there),
            replace(handover_view.ROLE, value=role),
            Question("name", "Name, and after a comma the organisation", name),
            Question("statement", "Statement", statement, "empty takes the usual one for the role"),
        ],
        lambda answers: start(request(answers, keys)),
        notes=notes,
        begin_at="passphrase" if key else "key",
        draft=f"key {job.id}",
    )
    return made


_NO_KEY = "the path of a .p12 file; or close this: n makes one"


def request(answers: Mapping[str, str], keys: list[Path]) -> SigningRequest:
    """Read the form.

    Raises
    ------
    InputError
        Names the answer that is missing or has no meaning.
    """
    name, _, organisation = answers["name"].partition(",")
    role = handover_view.role_of(answers["role"])
    for what, answer in (("role", role), ("name", name.strip())):
        if not answer:
            raise InputError(f"{what}: found nothing, expected who signs")
    return SigningRequest(
        file=typed_path(answers["file"]),
        key=_key(answers["key"].strip(), keys),
        role=role,
        name=name.strip(),
        organisation=organisation.strip(),
        statement=answers["statement"].strip(),
        passphrase=answers["passphrase"],
    )


def _key(typed: str, keys: list[Path]) -> Path:
    if typed.isdecimal():
        if not 1 <= int(typed) <= len(keys):
            raise InputError(f"key: no such number, expected 1 to {len(keys)} or a path")
        return keys[int(typed) - 1]
    if not typed:
        raise InputError("key: found nothing, expected a number or the path of a .p12 file")
    if not is_file(typed):
        raise InputError("key: no such file, expected a number or the path of a .p12 file")
    return typed_path(typed)


def _file(typed: str) -> None:
    """Refuse what is no file without saying what it was: it may be a passphrase, typed too early."""
    if not is_file(typed):
        raise InputError("file: no such file, expected a document that was written")


def is_file(typed: str) -> bool:
    """Whether what was typed is the path of a file."""
    try:
        return typed_path(typed).is_file()
    except (InputError, OSError, ValueError):
        return False


STEPS = ("reading the file", "opening the key", "signing, writing and logging it")


def sign(
    database: Path, job_id: str, by: str, asked: SigningRequest, on_step: Callable[[Step], None]
) -> str:
    """Sign and log over a connection of this thread's own; return what to tell.

    The last step is done whole or not at all; what `on_step` raises before it leaves the file as it was.

    Raises
    ------
    CommissionError
        One line; the file is left as it was.
    """
    steps = (Step(number, len(STEPS), says) for number, says in enumerate(STEPS, start=1))
    on_step(next(steps))
    content = read_file(asked.file)
    block = SignatureBlock(
        role=asked.role,
        name=asked.name,
        statement=asked.statement
        or usual_statement(content, asked.role, handover_view.STATEMENTS.get(asked.role, "")),
        exceptions=exceptions_of(content),
        organisation=asked.organisation,
    )
    on_step(next(steps))
    key = read_key(asked.key, asked.passphrase)
    if owner := other_owner(key, asked.name, asked.organisation):
        raise InputError(
            f"name: found {quoted(asked.name, 60)}, the key is {quoted(owner, 60)}'s; expected its "
            "owner's name, or a key of whoever signs"
        )
    on_step(next(steps))
    with closing(Logbook(database)) as book:
        job = book.open(job_id, by)
        sign_file(asked.file, key, block, job=job)
        before = earlier_state(job, asked.file)
    lines = f"Signed by {asked.name}: {asked.file}" + (f". {before}" if before else "")
    if is_draft(content):
        lines += ". It is a draft: it says itself that checks are incomplete or repairs unverified"
    if open_to_others(asked.key):
        lines += f". Others than its owner may read the key {asked.key.name}"
    return lines


def new_key_form(
    start: Callable[[Callable[[], KeyMade]], None],
    name: str,
    organisation: str,
    *,
    is_first: bool = False,
) -> Form:
    """Ask whose key it is and for a passphrase, twice; the passphrase is kept nowhere.

    Name and organisation are those of whoever logs; typing replaces them. One begins at the passphrase,
    and nothing that shows what is typed follows it: keys that run ahead of the form never show it.
    """
    return Form(
        "No key here yet: make one" if is_first else "Make a key to sign files with",
        [
            Question("name", "Name", name, "who signs with it; stands in the certificate"),
            Question("organisation", "Organisation", organisation, "optional"),
            Question(
                "passphrase",
                "Passphrase",
                hint="at least 8 characters; Up goes to name and organisation",
                secret=True,
                odd=_weak,
            ),
            Question("again", "Repeat passphrase", secret=True),
        ],
        lambda answers: start(new_key_asked(answers)),
        notes=_notes(),
        begin_at="passphrase",
        draft="new key",
    )


def _weak(passphrase: str) -> str:
    """Ask about a passphrase that does not hold, before the key is made."""
    if len(passphrase) < SHORTEST_PASSPHRASE or not is_weak(passphrase):
        return ""
    return f"{strength(passphrase)}. Enter again takes it"


def _notes() -> list[Line]:
    try:
        where = str(key_folder())
    except InputError:
        where = "no folder: there is no home"
    return [
        (
            ("A self-signed key: nobody else vouches that it is yours. ", "strong"),
            ("Tell the other side its SHA-256 on paper or by voice. One from your firm or a "
             "certificate authority is worth more: Esc, then its path.", "muted"),
        ),
        ((f"Kept in {where} under the passphrase, which nobody can look up or set anew.", "muted"),),
    ]  # fmt: skip


def new_key_asked(answers: Mapping[str, str]) -> Callable[[], KeyMade]:
    """Read the form; return what makes the key.

    Raises
    ------
    CommissionError
        Names the answer that is missing or has no meaning, or the key that is there already.
    """
    name, organisation = answers["name"].strip(), answers["organisation"].strip()
    path = key_folder() / f"{file_stem(name)}.p12"
    check_new(path, answers["passphrase"], name, organisation)
    if answers["again"] != answers["passphrase"]:
        raise InputError("passphrase: the two differ; type it again in both lines")
    passphrase = answers["passphrase"]
    return lambda: new_key(path, passphrase, name=name, organisation=organisation)


def made_lines(made: KeyMade) -> list[Line]:
    """Say where the new key is, and what to tell the other side."""
    return [
        (("Key made. Nobody else vouches for it: tell the other side its SHA-256", "pass"),),
        ((made.sha256, "strong"),),
        ((made.strength, "muted"),),
        ((f"Kept as {made.key}   ", "muted"), ("f", "key"), (" signs with it", "muted")),
    ]
