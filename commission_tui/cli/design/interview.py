"""Questions asked one after another, at a terminal or on a pipe, with a way back."""

from __future__ import annotations

import codecs
import contextlib
import os
import re
import select
import shutil
import sys
import textwrap
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, Protocol

import click

from commission_tui.cli.design.wall_questions import Question, option_alone
from commission_tui.cli.output import plain, terminal
from commission_tui.errors import InputError
from commission_tui.text import JOINERS, counted

_BACK_WORD = "<"


class Back(Exception):  # noqa: N818 (a wish, not an error)
    """Whoever answers wants to go back to the question before."""


class Reader(Protocol):
    """Where answers come from."""

    was_early: bool
    """Whether the line returned last was begun before its question could be read."""

    def line(self, prompt: str) -> str:
        """Return what was typed; raise `Back`, or EOFError when nobody answers any more."""
        ...


class Refused(InputError):  # noqa: N818 (what was done with the answers)
    """The answers together make no sense; `key` names the question that it is about, or none."""

    def __init__(self, said: str, key: str | None) -> None:
        super().__init__(said)
        self.key = key


def interview(
    questions: Sequence[Question],
    given: Mapping[str, Any],
    reader: Reader,
    *,
    check: Callable[[Mapping[str, Any]], object] = lambda _: None,
    typed: Mapping[str, str] | None = None,
    keep: Callable[[Mapping[str, str]], None] = lambda _: None,
) -> dict[str, Any]:
    """Ask what is not given, and return every answer.

    `check` may refuse the answers (`Refused`): the question that it names is asked again, else all of
    them, with what was answered in brackets. `typed` is what an earlier evening typed, by question, and
    `keep` is handed the same after every answer.

    When all that has no usual answer is given, nothing is asked: a script gets what it said and the
    usual answers for the rest. So does one whose input ends before the questions do.

    Raises
    ------
    InputError
        When nobody answers a question that has no usual answer.
    Refused
        When `check` refuses the answers and nobody is there to be asked again.
    """
    answers = dict(given)
    _say_doubts(questions, given)
    most = sum(q.when is not option_alone and q.key not in given for q in questions)
    asks = any(q.standard is None and q.key not in given and q.when(answers) for q in questions)
    if asks:
        _print(
            f"At most {counted(most, 'question')}; those that do not apply here are passed over. Enter "
            "takes what stands in [ ]; the arrow up goes back."
        )
    ended = False
    shown: list[int] = []
    lines = dict(typed or {})
    stood: dict[str, str | None] = {}
    single = {question.key for question in questions if not question.many}
    stands: set[str] = set()
    refused: Refused | None = None
    at = 0
    while True:
        if at == len(questions):
            try:
                check(answers)
            except Refused as error:
                if not asks:
                    raise refused or error from None
                refused = error
                given = {key: said for key, said in given.items() if key != error.key}
                if error.key in single:  # of several answers nobody knows which was refused
                    _put_back(lines, error.key, stood.get(error.key))
                _print(f"  {plain(str(error))}; again, please")
                stands = {questions[i].key for i in shown} - {error.key} if error.key else set()
                at, shown = 0, []
                continue
            return answers
        question = questions[at]
        if question.key in given or not question.when(answers):
            if question.key not in given:
                answers[question.key] = _without(question)
            at += 1
            continue
        if question.key in stands:
            shown.append(at)
            at += 1
            continue
        before = lines.get(question.key)
        try:
            answers[question.key] = (
                _asked(question, reader, lines, f"{len(shown) + 1}. ", answers)
                if asks
                else _usual(question, ended, lines.get(question.key, ""))
            )
        except Back:
            at = shown.pop() if shown else at
            stands.discard(questions[at].key)
            continue
        except EOFError as error:
            if refused is not None:
                raise refused from None
            if question.standard is None:
                raise InputError(
                    f"{question.option}: found no answer, expected one; every question is also an "
                    "option, see --help"
                ) from error
            asks, ended = False, True
            continue
        if asks:
            if before != lines.get(question.key):
                stood[question.key] = before
            keep(lines)
        shown.append(at)
        at += 1


def _put_back(typed: dict[str, str], key: str, before: str | None) -> None:
    """Let what stood before an answer that was refused be offered again, not that answer."""
    refused = typed.pop(key, None)
    if before is not None and before != refused:
        typed[key] = before


def _say_doubts(questions: Sequence[Question], given: Mapping[str, Any]) -> None:
    """Say what is odd about what the options said: nobody is there to be asked."""
    for question in questions:
        if question.key in given:
            answer = given[question.key]
            for value in answer if question.many else (answer,):
                try:
                    odd = question.doubt(given, value)
                except KeyError:  # beside an answer that is still to come
                    continue
                except InputError as error:
                    raise InputError(f"{question.option}: {error}") from None
                if odd:
                    click.echo(f"{question.option}: {plain(odd)}", err=True)


def _without(question: Question) -> Any:
    """Return what stands for a question that does not apply: the usual answer would be a statement."""
    return _usual(question) if question.many or question.when is option_alone else None


def _usual(question: Question, ended: bool = False, lines: str = "") -> Any:
    if question.many:
        return list(_earlier(question, lines).values())
    if ended and question.standard is None:
        raise EOFError
    return None if question.standard is None else question.read(question.standard)


def _asked(
    question: Question, reader: Reader, typed: dict[str, str], far: str, answers: Mapping[str, Any]
) -> Any:
    if not question.many:
        return _kept(question, reader, typed, far, answers)
    found = _earlier(question, typed.get(question.key, ""))
    if found:
        _print(f"  so far: {plain('; '.join(found))} (the arrow up takes back the last)")
    asked_again = False
    while True:
        last: dict[str, str] = {}
        try:
            one = _kept(question, reader, last, far, answers)
        except Back:
            if not found:
                raise
            text = found.popitem()[0]
            click.echo(f"  taken back: {plain(text)}")
        else:
            if one is None and (found or asked_again or not reader.was_early):
                return list(found.values())
            if one is None:  # one Enter too many behind the question before passes none
                asked_again = True
                _print("  Enter came before this was asked: again for none")
            else:
                found[last[question.key]] = one
        typed[question.key] = "\n".join(found)


def _earlier(question: Question, lines: str) -> dict[str, Any]:
    """Return what was said before at a question for several things, line by line."""
    found = {}
    for line in lines.splitlines():
        with contextlib.suppress(InputError):  # of a draft that another version wrote
            found[line] = question.read(line)
    return found


def _kept(
    question: Question, reader: Reader, typed: dict[str, str], far: str, answers: Mapping[str, Any]
) -> Any:
    """Ask, and ask about an answer that is odd beside the others until it is kept or another."""
    before = typed.get(question.key)
    answer = _read_one(question, reader, typed, far)
    while not (question.many and answer is None):
        try:
            odd = question.doubt(answers, answer)
        except InputError as error:
            _print(f"  {plain(str(error))}; again, please")
            _put_back(typed, question.key, before)
            answer = _read_one(question, reader, typed, far)
            continue
        if not odd:
            break
        _print(f"  {plain(odd)}")
        try:
            text = reader.line("  y keeps it, or type another: ").strip()
        except Back:  # what nobody kept is not offered again
            _put_back(typed, question.key, before)
            raise
        if text.lower() in {"y", "yes"}:
            break
        try:
            answer = question.read(text)
        except InputError as error:
            _print(f"  {plain(str(error))}; again, please")
        else:
            typed[question.key] = text
    return answer


_WITHOUT = re.compile(r"(\w[\w ]*): Enter")
"""What Enter alone says, by the question's own words."""


def _read_one(question: Question, reader: Reader, typed: dict[str, str], far: str) -> Any:
    """Ask until the answer is one; on coming back, Enter alone answers what was typed before.

    What is refused takes nothing away: what stands in brackets stands until another answer is taken.
    """
    before = typed.get(question.key)
    standard = question.standard if before is None else before
    without = _WITHOUT.search(f"{question.words} {question.example}")
    none = without[1] if without else "none"
    clears = f"; - for {none}" if before and question.standard == "" else ""
    usual = f" [{plain(standard)}{clears}]" if standard else ""
    example = f" ({question.example})" if question.example else ""
    refused = False
    while True:
        text = reader.line(f"{far}{question.words}{example}{usual}: ").strip()
        if refused and question.many and not text and reader.was_early:
            refused = False  # or a list would end at its first wrong line
            _print("  Enter came before that was refused: again for no more")
            continue
        if text == "-" and clears:
            typed.pop(question.key, None)
            return question.read("")
        try:
            answer = None if question.many and not text else question.read(text or standard or "")
        except InputError as error:
            _print(f"  {plain(str(error))}; again, please")
            refused = True
            continue
        if text:
            typed[question.key] = text
        return answer


def _print(text: str) -> None:
    click.echo(_at_words(text) if terminal() else text)


def _at_words(text: str) -> str:
    """Return one line as several of the terminal's width; what ends it stays, a space too."""
    width = shutil.get_terminal_size().columns
    lines = textwrap.wrap(
        text.rstrip(), max(20, width - 1), subsequent_indent="   ",
        break_long_words=False, break_on_hyphens=False,
    )  # fmt: skip
    return "\n".join(lines) + text[len(text.rstrip()) :]


class PipeReader:
    """Reads lines; a line of `<` alone goes back."""

    was_early = False

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

    def __init__(self, descriptor: int, ahead: str = "") -> None:
        self._descriptor = descriptor
        self._decoder = codecs.getincrementaldecoder("utf-8")("replace")
        self._waiting = ahead
        self.was_early = False

    def line(self, prompt: str) -> str:
        self.was_early = bool(self._waiting or select.select([self._descriptor], [], [], 0)[0])
        click.echo(_at_words(prompt), nl=False)
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
            if key in ("\x7f", "\x08"):
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
def reader(ahead: str = "") -> Iterator[Reader]:
    """Return the way to read here: key by key at a terminal, else line by line; `ahead` was typed before."""
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
        yield KeyReader(descriptor, ahead)
    finally:
        termios.tcsetattr(descriptor, termios.TCSADRAIN, before)
