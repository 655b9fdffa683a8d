"""Keys, signatures, and whether a document is what it says it is."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import nullcontext
from pathlib import Path
from typing import TYPE_CHECKING

import click

from commission_tui.cli.options import any_file, json_option, new_file, wants_json
from commission_tui.cli.output import Session, answer, message, new_entries, terminal
from commission_tui.errors import InputError
from commission_tui.text import counted, quoted, upper_first

if TYPE_CHECKING:
    from commission_tui.handover.signing.keys import KeyKind
    from commission_tui.handover.verify.verification_result import Verification

PASSPHRASE = "COMMISSION_TUI_PASSPHRASE"  # noqa: S105 (the variable's name)
_LONGEST_PASSPHRASE = 1024
_STATUS = {"proved": 0, "changed": 1, "other": 4, "unproved": 5}
_OF_A_SIGNATURE = (
    *("field", "name", "reason", "subject", "certificate_sha256", "signed_at", "stamped_at"),
    *("covers", "holds", "trusted", "trust", "failures", "advice"),
)

fd_option = click.option(
    "--passphrase-fd",
    type=click.IntRange(0, 1023),
    help=f"File descriptor to read the passphrase from. Default: asked, or from {PASSPHRASE}.",
)


@click.group()
def key() -> None:
    """Keys that documents are signed with."""


@key.command("new")
@click.option("--name", required=True, help="Who signs with it.")
@click.option("--organisation", default="", help="For whom.")
@click.option("--kind", type=click.Choice(["ec", "rsa"]), default="ec", show_default=True)
@click.option("--years", type=click.IntRange(1, 30), default=10, show_default=True)
@click.option(
    *("-o", "--output"),
    type=new_file,
    help="Key file (.p12). Default: in a folder of the user's own.",
)
@fd_option
@json_option
def key_new(
    name: str,
    organisation: str,
    kind: KeyKind,
    years: int,
    output: Path | None,
    passphrase_fd: int | None,
) -> None:
    """Make a key and a certificate of its own, for who has none from a firm.

    The certificate goes beside the key, to hand on; tell the other side its SHA-256 by another way.
    """
    from commission_tui.handover.signing.keys import check_new, key_folder, new_key
    from commission_tui.handover.signing.passphrase_strength import is_weak, strength
    from commission_tui.handover.writing import file_stem

    path = output or key_folder() / f"{file_stem(name)}.p12"
    secret = _passphrase(passphrase_fd, "passphrase for the new key", twice=True)
    check_new(path, secret, name, organisation)
    said = strength(secret)
    if not wants_json():
        message(said)
    if is_weak(secret) and terminal() and not click.confirm("Make the key all the same?", err=True):
        raise InputError(f"{said}; no key was made")
    made = new_key(path, secret, name=name, organisation=organisation, kind=kind, years=years)
    told = f"SHA-256 {made.sha256}, valid to {made.expires}"
    answer(made, str(made.key), str(made.certificate), told)
    if not wants_json():
        message("nobody can sign with the key without its passphrase, and nobody can look that up")


@click.command()
@click.argument("file", type=any_file)
@click.option("--key", "key_file", required=True, type=any_file, help="PKCS#12.")
@click.option("--role", required=True, help="integrator, client, consultant, …")
@click.option("--name", required=True, help="Who signs.")
@click.option("--organisation", default="", help="For whom.")
@click.option(
    "--statement",
    help="Default: Taken as described in this document; of a wall that the client refused, by the "
    "client why, by others that they have seen it.",
)
@click.option("--exceptions", type=click.IntRange(min=0), help="Default: those of the document.")
@click.option("--strokes", type=any_file, help="A drawn signature, as JSON.")
@click.option("--tsa", help="Address of a time-stamp authority; nothing is asked without it.")
@click.option("--job", help="Also log the signature in this job of the logbook.")
@click.option(
    "--for-another",
    is_flag=True,
    help="The key is another person's than the one named; verify then says whose.",
)
@click.option("--confirm", is_flag=True, help="Sign it although it is a draft.")
@click.option("-o", "--output", type=any_file, help="Default: FILE itself.")
@fd_option
@json_option
@click.pass_obj
def sign(
    session: Session,
    file: Path,
    key_file: Path,
    role: str,
    name: str,
    organisation: str,
    statement: str | None,
    exceptions: int | None,
    strokes: Path | None,
    tsa: str | None,
    job: str | None,
    for_another: bool,
    confirm: bool,
    output: Path | None,
    passphrase_fd: int | None,
) -> None:
    """Sign a handover document; each further signer signs what the one before left."""
    from commission_tui.handover.signing.document_signing import (
        exceptions_of,
        is_draft,
        usual_statement,
    )
    from commission_tui.handover.signing.keys import open_to_others, other_owner, read_key
    from commission_tui.handover.signing.signing_log import earlier_state, sign_file
    from commission_tui.handover.typeset.signature_block import SignatureBlock, read_strokes
    from commission_tui.handover.verify.pdf_reading import read_file

    content = read_file(file)
    block = SignatureBlock(
        role=role,
        name=name,
        statement=statement or usual_statement(content, role),
        exceptions=exceptions_of(content) if exceptions is None else exceptions,
        organisation=organisation,
        strokes=read_strokes(strokes) if strokes else None,
    )
    secret = _passphrase(passphrase_fd, f"passphrase of {key_file.name}")
    opened_key = read_key(key_file, secret)
    if not for_another:
        _own_name(other_owner(opened_key, name, organisation), name)
    if open_to_others(key_file):
        message(f"{key_file}: others than its owner may read it; chmod 600 it")
    if is_draft(content):
        _meant(
            f"{file}: a draft: it says itself that checks are incomplete or repairs unverified",
            confirm,
        )
    with session.job(job) if job else nullcontext() as opened:
        target = sign_file(file, opened_key, block, output=output, job=opened, tsa=tsa)
        if opened is not None and (before := earlier_state(opened, target)):
            message(f"{target}: {before[0].lower()}{before[1:]}")
    signed = {"file": str(target), "role": role, "name": name, "exceptions": block.exceptions}
    answer(signed, str(target))


@click.command()
@click.argument("file", type=any_file)
@click.option(
    "--trust",
    multiple=True,
    type=any_file,
    help="A certificate that vouches for signers; may be given again.",
)
@click.option(
    "--against",
    multiple=True,
    type=any_file,
    help="A logbook that must have the same entries; of a logbook, a copy, document or record that it "
    "must still hold. May be given again. Default: --database, or the usual one if it has the job.",
)
@click.option(
    "--again/--not-again",
    default=True,
    show_default=True,
    help="Set the document again from its record: finds changed pages without a signature.",
)
@json_option
@click.pass_obj
def verify(
    session: Session,
    file: Path,
    trust: tuple[Path, ...],
    against: tuple[Path, ...],
    again: bool,
) -> int:
    """Check a document (PDF), a record (JSON) or a logbook.

    Nothing but the file is needed, and no network is asked. Exit status: 0 intact and signed with a
    key, or a logbook as it was written; 1 changed; 4 nothing of this program; 5 intact for all that can be told, and nothing
    proves it. With --trust every signature must be by a key that is vouched for.
    """
    from commission_tui.handover.verify.verification import verify_file

    named = _named_database(session)
    found = verify_file(
        file,
        trusted=trust,
        database=None if against else named,
        against=against,
        usual=session.path if named is None else None,
        again=again,
    )
    answer(_plain(found), *_lines(found))
    return _STATUS[found.proof]


@click.command("import")
@click.argument("file", type=any_file)
@json_option
@click.pass_obj
def import_(session: Session, file: Path) -> None:
    """Read a job back out of its document or record, into the logbook.

    A photo or file that an entry names and that is not here yet is filled in.
    """
    from commission_tui.handover.verify.document_import import import_document

    with session.logbook() as book:
        done = import_document(book, file, session.person)
    for line in done.told:
        message(line)
    files = counted(done.files, "file")
    told = f"{done.name}: {new_entries(done.added)}, {done.known} known already, {files}"
    answer(done, told)


def _named_database(session: Session) -> Path | None:
    """Return the logbook that was named for this command; the one of the environment is any job's."""
    source = click.get_current_context().find_root().get_parameter_source("database")
    return session.database if source is click.core.ParameterSource.COMMANDLINE else None


def _plain(found: Verification) -> dict[str, object]:
    return {
        "holds": found.holds,
        "standing": found.proof,
        "said": found.said,
        "first_failure": found.first_failure,
        "kind": found.kind,
        "sha256": found.sha256,
        "document": found.document,
        "supplements": found.supplements,
        "findings": found.findings,
        "signatures": [
            {what: getattr(one, what) for what in _OF_A_SIGNATURE} for one in found.signatures
        ],
    }


def _lines(found: Verification) -> Iterator[str]:
    marks = {True: "holds", False: "FAILS", None: "cannot be told"}
    if found.meaning:
        yield f"{upper_first(found.meaning)}."
    if found.document:
        more = f", supplement to {found.supplements}" if found.supplements else ""
        yield f"document {found.document}{more}"
    yield f"SHA-256 of the file: {found.sha256}"
    for one in found.findings:
        yield f"{marks[one.holds]}: {one.what}: {one.said}"
    for number, made in enumerate(found.signatures, start=1):
        stamped = f", stamped {made.stamped_at}" if made.stamped_at else ""
        yield f"signature {number}: {made.reason}"
        yield f"  by the signer's clock {made.signed_at}{stamped}; certificate of {made.subject}"
    yield found.said


def _meant(draft: str, confirmed: bool) -> None:
    """Ask before a draft is signed, or refuse where nobody can be asked."""
    if confirmed:
        message(draft)
    elif not terminal():
        raise InputError(f"{draft}; add --confirm to sign it as it is")
    elif not click.confirm(f"{draft}. Sign it as it is?", err=True):
        raise InputError(f"{draft}; nothing was signed")


def _own_name(owner: str, name: str) -> None:
    """Ask before somebody signs in another person's name, or refuse where nobody can be asked."""
    if not owner:
        return
    mismatch = f"name: found {quoted(name, 60)}, the key is {quoted(owner, 60)}'s"
    if not terminal():
        raise InputError(f"{mismatch}; expected the name on the key, or --for-another")
    if not click.confirm(f"{mismatch}. Sign with it all the same?", err=True):
        raise InputError(f"{mismatch}; nothing was signed")


def _passphrase(descriptor: int | None, question: str, *, twice: bool = False) -> str:
    """Take the passphrase from a descriptor, the environment or the terminal; never an argument."""
    if descriptor is not None:
        try:
            with os.fdopen(descriptor, "rb", closefd=False) as stream:
                line = stream.read(_LONGEST_PASSPHRASE).split(b"\n", 1)[0]
            return line.rstrip(b"\r").decode("utf-8")
        except (OSError, UnicodeDecodeError, ValueError):
            raise InputError(
                f"--passphrase-fd: found nothing to read at {descriptor}, expected a passphrase"
            ) from None
    if PASSPHRASE in os.environ:
        return os.environ[PASSPHRASE]
    if not terminal():
        raise InputError(
            f"passphrase: found no terminal to ask at, expected --passphrase-fd or {PASSPHRASE}"
        )
    answer: str = click.prompt(question, hide_input=True, confirmation_prompt=twice, err=True)
    return answer
