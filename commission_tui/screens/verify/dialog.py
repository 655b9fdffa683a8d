"""Verify: what a written document is, who signed which bytes, and whether this logbook has the same."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll

from commission_tui.checks.model.types import Verdict
from commission_tui.handover.verify.verification import verify_file
from commission_tui.handover.verify.verification_result import SignatureFound, Verification
from commission_tui.screens.host.key_table import key, quiet
from commission_tui.screens.shared.background_work import Background
from commission_tui.screens.shared.photo_dialog import typed_path
from commission_tui.screens.terminal.styled_text import VERDICT_SIGN, Line
from commission_tui.screens.widgets.form import Form, Question
from commission_tui.screens.widgets.screen_frame import Dialog
from commission_tui.screens.widgets.text_lines import Painted

_WORDS = {
    True: ("holds", "pass", Verdict.PASS),
    False: ("FAILS", "fail", Verdict.FAIL),
    None: ("cannot be told", "marginal", Verdict.MARGINAL),
}


def verification_lines(found: Verification) -> list[Line]:
    """Say first whether it holds, then each thing that was looked at, then each signature."""
    lines: list[Line] = [_verdict(found), (("", ""),)]
    if found.document:
        more = f", supplement to {found.supplements}" if found.supplements else ""
        lines.append((("Document ", "muted"), (f"{found.document}{more}", "strong")))
    lines += [(("SHA-256 of the file ", "muted"), (found.sha256, "")), (("", ""),)]
    for one in found.findings:
        word, role, verdict = _WORDS[one.holds]
        shown = f"{VERDICT_SIGN[verdict]} {word}: "
        lines.append(((shown, role), (f"{one.what}: ", "strong"), (one.said, "")))
    for number, made in enumerate(found.signatures, start=1):
        lines += [(("", ""),), *_signature(number, made)]
    return lines


_STANDING: dict[str, bool | None] = {
    "proved": True,
    "changed": False,
    "other": False,
    "unproved": None,
}


def _verdict(found: Verification) -> Line:
    _, role, verdict = _WORDS[_STANDING[found.proof]]
    words, _, rest = found.said.partition(": ")
    first = f"{VERDICT_SIGN[verdict]} {words[:1].upper()}{words[1:]}"
    return ((f"{first}: ", role), (rest, "")) if rest else ((first, role),)


def _signature(number: int, made: SignatureFound) -> list[Line]:
    stamped = f", stamped {made.stamped_at}" if made.stamped_at else ""
    return [
        ((f"Signature {number}: ", "title"), (made.reason, "")),
        ((f"  by the signer's clock {made.signed_at}{stamped}", "muted"),),
        (("  certificate of ", "muted"), (made.subject, ""), (f"; {made.trust}", "muted")),
        (("  its SHA-256 ", "muted"), (made.certificate_sha256, "")),
    ]


def form(file: Path, chosen: Callable[[Path], None]) -> Form:
    """Ask which file to check."""

    def submit(answers: Mapping[str, str]) -> None:
        chosen(typed_path(answers["file"], expected="the path of a document"))

    return Form(
        "Verify a document",
        [Question("file", "File", str(file.absolute()), "a document, a record or a logbook")],
        submit,
        draft="verify",
    )


class VerifyDialog(Dialog[None]):
    """Looks at a file in the background and lists what was found."""

    HELP_TEXT = (
        "Each line is one thing that was looked at: it holds, it fails, or it cannot be told from "
        "the file. Nothing but the file and this logbook is asked, and no network. Whether a "
        "certificate belongs to who it names, compare its SHA-256 with what the signer told you."
    )

    DEFAULT_CSS = """
    VerifyDialog #verify-scroll { height: 1fr; margin: 1 1 0 1; }
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        quiet("verify.down", "down,j", "scroll_lines(1)", "Down", "Scroll down"),
        quiet("verify.up", "up,k", "scroll_lines(-1)", "Up", "Scroll up"),
        key("verify.page_down", "pagedown", "scroll(1)", "Page down", "Scroll a page down"),
        key("verify.page_up", "pageup", "scroll(-1)", "Page up", "Scroll a page up"),
        key("verify.close", "escape,q", "close", "Close", "Back to the handover"),
    ]  # fmt: skip

    def __init__(self, file: Path, database: Path) -> None:
        super().__init__()
        self._file = file
        self._database = database
        self._background = Background(self)

    def compose_box(self) -> ComposeResult:
        with VerticalScroll(id="verify-scroll", can_focus=False):
            yield Painted(id="verify-text")

    def on_mount(self) -> None:
        self.show_title(((f"Verify {self._file.name}", "title"),))
        self._message(((f"Looking at {self._file} ...", "muted"),))
        self._background.start(
            "verifying",
            lambda _: verify_file(self._file, usual=self._database),
            lambda found: self._message(*verification_lines(found)),
            lambda error: self._message(((str(error), "error"),)),
        )

    def _message(self, *lines: Line) -> None:
        self.query_one("#verify-text", Painted).show(*lines)
