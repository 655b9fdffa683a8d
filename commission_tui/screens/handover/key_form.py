"""Making a key to sign with, for who has none from a firm: asked in one form, and what it is worth."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from commission_tui.errors import InputError
from commission_tui.handover.signing.keys import KeyMade, check_new, key_folder
from commission_tui.handover.writing import file_stem
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.screens.widgets.form import Form, Question


@dataclass(frozen=True, slots=True)
class KeyRequest:
    """Whose key to make, and where."""

    path: Path
    name: str
    organisation: str
    passphrase: str = field(repr=False)


def form(
    start: Callable[[KeyRequest], None], name: str, organisation: str, *, is_first: bool = False
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
            ),
            Question("again", "Repeat passphrase", secret=True),
        ],
        lambda answers: start(request(answers)),
        notes=_notes(),
        begin_at="passphrase",
        draft="new key",
    )


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


def request(answers: Mapping[str, str]) -> KeyRequest:
    """Read the form.

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
    return KeyRequest(path, name, organisation, answers["passphrase"])


def made_lines(made: KeyMade) -> list[Line]:
    """Say where the new key is, and what to tell the other side."""
    return [
        (("Key made. Nobody else vouches for it: tell the other side its SHA-256", "pass"),),
        ((made.sha256, "strong"),),
        ((made.strength, "muted"),),
        ((f"Kept as {made.key}   ", "muted"), ("f", "key"), (" signs with it", "muted")),
    ]
