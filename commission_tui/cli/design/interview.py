"""Questions asked one after another, at a terminal or on a pipe, with a way back."""

from __future__ import annotations

import codecs
import contextlib
import os
import sys
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Protocol

import click

from commission_tui.cli.design.wall_questions import Question, option_alone
from commission_tui.cli.output import plain, terminal
from commission_tui.errors import InputError
from commission_tui.text import JOINERS

_BACK_WORD = "<"


class Back(Exception):  # noqa: N818 (a wish, not an error)
    """Whoever answers wants to go back to the question before."""


class Reader(Protocol):
    """Where answers come from."""

    def line(self, prompt: str) -> str:
        """Return what was typed; raise `Back`, or EOFError when nobody answers any more."""
        ...


def interview(
    questions: Sequence[Question], given: Mapping[str, Any], reader: Reader
) -> dict[str, Any]:
    """Ask what is not given, and return every answer.

    When all that has no usual answer is given, nothing is asked: a script gets what it said and the
    usual answers for the rest. So does one whose input ends before the questions do.

    Raises
    ------
    click.Abort
        When nobody answers a question that has no usual answer.
    """
    answers = dict(given)
    _say_doubts(questions, given)
    total = sum(question.when is not option_alone for question in questions)
    asks = any(q.standard is None and q.key not in given and q.when(answers) for q in questions)
    if asks:
        click.echo(
            f"{total} questions; those that do not apply here are passed over. Enter takes what stands "
            "in [ ]; the arrow up goes back."
        )
    ended = False
    shown: list[int] = []
    typed: dict[str, str] = {}
    at = 0
    while at < len(questions):
        question = questions[at]
        if question.key in given or not question.when(answers):
            if question.key not in given:
                answers[question.key] = _usual(question)
            at += 1
            continue
        try:
            answers[question.key] = (
                _asked(question, reader, typed, f"{at + 1}/{total} ", answers)
                if asks
                else _usual(question, ended)
            )
        except Back:
            at = shown.pop() if shown else at
            continue
        except EOFError as error:
            if question.standard is None:
                raise click.Abort from error
            asks, ended = False, True
            continue
        shown.append(at)
        at += 1
    return answers


def _say_doubts(questions: Sequence[Question], given: Mapping[str, Any]) -> None:
    """Say what is odd about what the options said: nobody is there to be asked."""
    for question in questions:
        if question.key in given:
            try:
                odd = question.doubt(given, given[question.key])
            except KeyError:  # beside an answer that is still to come
                continue
            if odd:
                click.echo(f"{question.option}: {plain(odd)}", err=True)


def _usual(question: Question, ended: bool = False) -> Any:
    if question.many:
        return []
    if ended and question.standard is None:
        raise EOFError
    return None if question.standard is None else question.read(question.standard)


def _asked(
    question: Question, reader: Reader, typed: dict[str, str], far: str, answers: Mapping[str, Any]
) -> Any:
    if not question.many:
        return _kept(question, reader, typed, far, answers)
    found: list[Any] = []
    while True:
        try:
            one = _read_one(question, reader, {}, far)
        except Back:
            if not found:
                raise
            click.echo(f"  taken back: {plain(str(found.pop().get('name', '')))}")
            continue
        if one is None:
            return found
        found.append(one)


def _kept(
    question: Question, reader: Reader, typed: dict[str, str], far: str, answers: Mapping[str, Any]
) -> Any:
    """Ask, and ask about an answer that is odd beside the others until it is kept or another."""
    answer = _read_one(question, reader, typed, far)
    while odd := question.doubt(answers, answer):
        click.echo(f"  {plain(odd)}")
        text = reader.line("  y keeps it, or type another: ").strip()
        if text.lower() in {"y", "yes"}:
            break
        try:
            answer = question.read(text)
        except InputError as error:
            click.echo(f"  {plain(str(error))}; again, please")
        else:
            typed[question.key] = text
    return answer


def _read_one(question: Question, reader: Reader, typed: dict[str, str], far: str) -> Any:
    """Ask until the answer is one; on coming back, Enter alone answers what was typed before."""
    before = typed.get(question.key)
    standard = question.standard if before is None else before
    clears = "; - for none" if before and question.standard == "" else ""
    usual = f" [{plain(standard)}{clears}]" if standard else ""
    example = f" ({question.example})" if question.example else ""
    while True:
        text = reader.line(f"{far}{question.words}{example}{usual}: ").strip()
        if text == "-" and clears:
            text = standard = ""
        if not text and standard is not None:
            text = standard
        elif text:
            typed[question.key] = text
        try:
            return None if question.many and not text else question.read(text)
        except InputError as error:
            typed.pop(question.key, None)
            click.echo(f"  {plain(str(error))}; again, please")


class PipeReader:
    """Reads lines; a line of `<` alone goes back."""

    def line(self, prompt: str) -> str:
        click.echo(prompt, nl=False)
        text = sys.stdin.readline()
        if not text:
            click.echo()
            raise EOFError
        if text.strip() == _BACK_WORD:
            raise Back
        return text.rstrip("\n")


class KeyReader:
    """Reads keys as they are typed; the arrow up, or left on an empty line, goes back.

    Whatever was typed early waits here for the next question: no key is lost.
    """

    def __init__(self, descriptor: int) -> None:
        self._descriptor = descriptor
        self._decoder = codecs.getincrementaldecoder("utf-8")("replace")
        self._waiting = ""

    def line(self, prompt: str) -> str:
        click.echo(prompt, nl=False)
        text = ""
        while True:
            key = self._key()
            if key in ("\r", "\n"):
                click.echo()
                if text.strip() == _BACK_WORD:
                    raise Back
                return text
            if key == "\x1b[A" or (key == "\x1b[D" and not text):
                click.echo("  (back)")
                raise Back
            if key == "\x04" and not text:
                click.echo()
                raise EOFError
            if key in ("\x7f", "\x08", "\x1b[D"):
                if text:
                    text = text[:-1]
                    click.echo("\b \b", nl=False)
            elif key == "\x15":
                click.echo("\b \b" * len(text), nl=False)
                text = ""
            elif key.isprintable() or key in JOINERS:
                text += key
                click.echo(key, nl=False)

    def _key(self) -> str:
        """Return one character, or one whole escape sequence."""
        key = self._character()
        if key != "\x1b" or not self._waiting:
            return key
        key += self._character()
        if key == "\x1bO":  # arrows, as a terminal in keypad mode sends them
            return "\x1b[" + self._character()
        while key == "\x1b[" or (
            key.startswith("\x1b[") and not key[-1].isalpha() and key[-1] != "~"
        ):
            key += self._character()
        return key

    def _character(self) -> str:
        while not self._waiting:
            read = os.read(self._descriptor, 1024)
            if not read:
                raise EOFError
            self._waiting = self._decoder.decode(read)
        first, self._waiting = self._waiting[0], self._waiting[1:]
        return first


@contextlib.contextmanager
def reader() -> Iterator[Reader]:
    """Return the way to read here: key by key at a terminal, else line by line."""
    if not terminal():
        yield PipeReader()
        return
    try:
        import termios
        import tty
    except ImportError:  # a system without them
        yield PipeReader()
        return
    descriptor = sys.stdin.fileno()
    before = termios.tcgetattr(descriptor)
    try:
        # Draining, not flushing: what was typed before the first question is kept.
        tty.setcbreak(descriptor, termios.TCSADRAIN)
        yield KeyReader(descriptor)
    finally:
        termios.tcsetattr(descriptor, termios.TCSADRAIN, before)
