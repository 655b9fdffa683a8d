"""Handover: what is missing, what the document says, signatures, export."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Container, VerticalScroll

from commission_tui.errors import DocumentError, InputError
from commission_tui.handover.outline import outline
from commission_tui.handover.progress_steps import FORMATS, WRITING
from commission_tui.handover.signing.keys import KeyMade
from commission_tui.handover.writing import file_stem, write_files
from commission_tui.logbook.actions.signature_entry import Consent, is_client
from commission_tui.logbook.job import OpenJob
from commission_tui.screens.handover import key_signing
from commission_tui.screens.handover import view as handover_view
from commission_tui.screens.handover.exceptions_form import (
    ExceptionForms,
    drop_consents,
    kept_consents,
)
from commission_tui.screens.handover.page_preview import PagesDialog, process_request
from commission_tui.screens.handover.signature_pad import SignaturePad, Stroke
from commission_tui.screens.host.key_table import key, quiet
from commission_tui.screens.shared.background_work import SteppedWork
from commission_tui.screens.shared.job_screen import JobScreen
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.screens.verify import dialog as verify_dialog
from commission_tui.screens.verify.dialog import VerifyDialog
from commission_tui.screens.widgets.form import Form, Question
from commission_tui.screens.widgets.screen_frame import open_dialog
from commission_tui.screens.widgets.text_lines import Painted
from commission_tui.subprocess_job import Step, SubprocessJob

_SIGNER = "signer"
"""The draft that keeps who is about to sign, as typed, until the signature is logged."""

_WRITTEN = "handover written to"
"""The draft that keeps the folder of the latest export, over a restart too."""


class HandoverScreen(JobScreen):
    """The last screen of a job."""

    TAB = "handover"
    OPENING_KEYS = "sfn"  # a passphrase typed ahead is never told
    AUTO_FOCUS = "#handover-scroll"
    HELP_TEXT = (
        "Signing logs a name under the record as it stands; its fingerprint is printed on every "
        "page. Any later entry changes the fingerprint, and the document says so. What takes long "
        "is done in a process of its own: Esc ends it at once, and the other screens stay open."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        key("handover.sign", "s", "sign", "Sign", "Sign the record as it stands"),
        key("handover.sign_file", "f", "sign_file", "Sign the file",
            "Put a signature made with a key into the written document"),
        quiet("handover.new_key", "n", "new_key", "New key",
            "Make a key to sign files with, for who has none from a firm"),
        key("handover.pages", "p", "pages", "Pages",
            "Look at the document's pages as they would be now"),
        key("handover.export", "e", "export", "Export",
            "Write the document and the record into a folder"),
        key("handover.verify", "v", "verify", "Verify",
            "Check a written document: its signatures, its record, this logbook"),
        key("handover.stop", "x", "stop", "Stop",
            "End what is being made, as Esc does; nothing of it is left"),
        key("handover.back", "q", "back", "Back", "To the overview"),
        quiet("handover.down", "j", "scroll(1)", "Down", "Scroll down"),
        quiet("handover.up", "k", "scroll(-1)", "Up", "Scroll up"),
    ]  # fmt: skip

    def __init__(self, job: OpenJob) -> None:
        super().__init__(job)
        self._work = SteppedWork(self, self._show_work)
        self._outline = outline(job)
        self._seen = job.state
        self._tried: key_signing.SigningRequest | None = None
        """What a file was last to be signed as, without its passphrase, while that is not done."""

    def compose_content(self) -> ComposeResult:
        with VerticalScroll(id="handover-scroll"), Container(id="handover-body"):
            yield Painted(id="handover-left")
            yield Painted(id="handover-right")
        yield Painted(id="export-line")

    def on_mount(self) -> None:
        written = self.host.drafts.get(_WRITTEN, {}).get("folder", "")
        if written and Path(written).is_dir():
            self.host.export_dir = Path(written)
        where = f" writes the document and the record to {self.host.export_dir.absolute()}"
        self._show_work((("e", "key"), (where, "muted")))

    def on_unmount(self) -> None:
        self._work.leave()

    def redraw(self) -> None:
        if self._seen is not self.job.state:
            self._outline = outline(self.job)
            self._seen = self.job.state
        left, right = handover_view.left_lines, handover_view.right_lines
        half = handover_view.half_typed_lines(self.host.half_typed())
        self.query_one("#handover-left", Painted).show(*half, *left(self._outline))
        self.query_one("#handover-right", Painted).show(*right(self._outline))

    def _show_work(self, *lines: Line) -> None:
        self.query_one("#export-line", Painted).show(*lines)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:  # noqa: ARG002
        if action in {"export", "sign_file", "new_key"}:
            return not self._work.is_on
        return self._work.may_stop if action == "stop" else True

    def action_stop(self) -> None:
        self._work.stop()

    def action_back(self) -> None:
        """Stop what is being made; only then leave."""
        if not self._work.stop():
            super().action_back()

    # --- signing

    def action_sign(self) -> None:
        shown = self._outline.fingerprint
        made: list[handover_view.Signing] = []
        drafts = self.host.drafts
        kept = drafts.get(_SIGNER, {})

        def submit(answers: Mapping[str, str]) -> None:
            made.append(handover_view.signing(self.job, shown, answers))
            # Until it is logged: before that a client may have a hundred exceptions to take.
            drafts.begin(_SIGNER, dict(answers))

        def filled_in(_: bool) -> None:
            asked = made[-1]

            def taken(consents: Mapping[str, Consent] | None) -> None:
                if consents is None:
                    self._say_unsigned(asked)
                else:
                    draw(asked, consents)

            if is_client(asked.role) and not asked.refuses:
                ExceptionForms(self.app, self.job, drafts, taken).ask()
            else:
                draw(asked, {})

        def draw(asked: handover_view.Signing, taken: Mapping[str, Consent]) -> None:
            def drawn(strokes: tuple[Stroke, ...] | None) -> None:
                if strokes is None:
                    self._say_unsigned(asked)
                elif self.attempt(
                    lambda: self.job.record(asked.made(self.job, taken, strokes or None)),
                    "Signature logged",
                ):
                    drafts.pop(_SIGNER, None)
                    if is_client(asked.role):
                        drop_consents(drafts)

            self.app.push_screen(SignaturePad(asked.name).by_itself(), drawn)

        taken_before = len(kept_consents(self.job, drafts))
        form = Form(
            "Sign the record",
            handover_view.signer_questions(kept),
            submit,
            notes=[
                *handover_view.half_typed_lines(self.host.half_typed()),
                *handover_view.kept_lines(kept, taken_before),
                *handover_view.meaning_lines(shown, self.job.acceptance()),
            ],
            draft=f"sign {self.job.id}",
        )
        open_dialog(self, form, filled_in)

    def _say_unsigned(self, asked: handover_view.Signing) -> None:
        taken = " and taken" if kept_consents(self.job, self.host.drafts) else ""
        self.say(f"Not signed by {asked.name}; what was typed{taken} is kept")

    def action_sign_file(self) -> None:
        if key_signing.known_keys():
            self._ask_to_sign()
        else:
            form = self._key_form().by_itself()
            self.app.push_screen(form, lambda made: None if made else self._ask_to_sign())

    def _ask_to_sign(self) -> None:
        form = key_signing.form(self.job, self.host.export_dir, self._start_signing, self._tried)
        self.app.push_screen(form)

    def action_new_key(self) -> None:
        self.app.push_screen(self._key_form())

    def _key_form(self) -> Form:
        signer, is_first = self.job.state.title.integrator, not key_signing.known_keys()
        return key_signing.new_key_form(
            self._start_making_key, self.job.by, signer, is_first=is_first
        )

    def _start_signing(self, asked: key_signing.SigningRequest) -> None:
        self._tried = replace(asked, passphrase="")
        self._work.begin(
            "Signing",
            lambda tell: key_signing.sign(self.job.database, self.job.id, self.job.by, asked, tell),
            self._signed,
        )

    def _signed(self, text: str) -> tuple[Line, ...]:
        self._tried = None
        self.job.refresh()
        self.redraw()
        return (((text, "pass"),),)

    def _start_making_key(self, make: Callable[[], KeyMade]) -> None:
        # A key is there whole or not at all, so its only step is the last.
        only = Step(1, 1, "finding its numbers")
        self._work.begin("Making a key", lambda _: make(), key_signing.made_lines, step=only)

    def action_pages(self) -> None:
        self.app.push_screen(PagesDialog(self.job))

    def action_verify(self) -> None:
        chosen: list[Path] = []

        def verify(_: bool) -> None:
            self.app.push_screen(VerifyDialog(chosen[-1], self.job.database))

        document = key_signing.document_in(self.host.export_dir, self.job)
        if not document.exists():  # a supplement that is not written yet: the one before
            document = document.with_name(f"{file_stem(self.job.state.title.name)}.pdf")
        open_dialog(self, verify_dialog.form(document, chosen.append), verify)

    # --- export

    def action_export(self) -> None:
        def submit(answers: Mapping[str, str]) -> None:
            formats = handover_view.formats_of(answers["formats"])
            folder = answers["folder"].strip()
            if not folder:
                raise InputError("folder: found nothing, expected where to write")
            self.host.export_dir = Path(folder).expanduser()
            self.host.drafts[_WRITTEN] = {"folder": str(self.host.export_dir.absolute())}
            self._start(self.host.export_dir, formats)

        form = Form(
            "Write the handover",
            [
                Question("formats", "Formats", handover_view.USUAL, "usual: all but png; or some"),
                Question("folder", "Folder", str(self.host.export_dir)),
            ],
            submit,
            notes=[(("There are: ", "muted"), (" ".join(FORMATS), ""))],
            draft=f"export {self.job.id}",
        )
        self.app.push_screen(form)

    def _start(self, folder: Path, formats: tuple[str, ...]) -> None:
        apart = SubprocessJob(*process_request("export", self.job, formats, folder))

        def write(tell: Callable[[Step], None]) -> list[Path]:
            steps: list[Step] = []

            def on_step(step: Step) -> None:
                steps.append(step)
                tell(step)

            files = apart.run(on_step, DocumentError)
            last = steps[-1].count if steps else 0
            tell(Step(last, last, WRITING))
            return write_files(folder, files, self.job.database)

        self._work.begin("Writing", write, _written, apart=apart)

    def action_scroll(self, by: int) -> None:
        self.query_one("#handover-scroll", VerticalScroll).scroll_relative(y=by, animate=False)


def _written(paths: list[Path]) -> tuple[Line, ...]:
    return (((handover_view.written_text(paths), "pass"),),)
