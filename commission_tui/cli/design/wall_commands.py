"""Wall files: writing one from answers that are kept until it is there, reviewing one."""

from __future__ import annotations

import os
import sys
import textwrap
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from commission_tui.cli.design.interview import Refused, interview, reader
from commission_tui.cli.design.kept_answers import KeptAnswers
from commission_tui.cli.design.wall_questions import (
    QUESTIONS,
    TARGETS,
    about,
    frame_rate_hz,
    option_alone,
    settled,
)
from commission_tui.cli.options import any_file, json_option, new_file, wants_json
from commission_tui.cli.output import answer, message, say
from commission_tui.errors import CommissionError, InputError
from commission_tui.files import write_whole

if TYPE_CHECKING:
    from commission_tui.wall.draft.wall_draft import PlainGrid
    from commission_tui.wall.review.failure_groups import LikeFailures
    from commission_tui.wall.review.redundancy import FailoverStep


@click.group()
def wall() -> None:
    """Wall files: the design as the engineer hands it over."""


@wall.command("review")
@click.argument("file", type=any_file)
@json_option
def review(file: Path) -> int:
    """Say what follows from a wall file, and what contradicts what.

    Exit status 1 when there is a contradiction or an overload.
    """
    from commission_tui.wall.model.wall_file import read_wall
    from commission_tui.wall.review.design_review import review as review_wall

    found = review_wall(read_wall(file))
    answer(found, *found.lines())
    grave = {"contradiction", "overload"}
    return int(any(finding.severity in grave for finding in found.findings))


def _options(command: Callable[..., None]) -> Callable[..., None]:
    """Make every question an option too."""
    for question in reversed(QUESTIONS):
        words = question.words + (f": {question.example}" if question.example else "")
        command = click.option(
            question.option, question.key, multiple=question.many, metavar="TEXT", help=words
        )(command)
    return command


@wall.command("new")
@click.argument("file", type=new_file)
@_options
@click.option("--columns", metavar="TEXT", help="Cabinets across; or --grid.")
@click.option("--rows", metavar="TEXT", help="Cabinets down; or --grid.")
@click.option("--replace", is_flag=True, help="Write over a file that is there.")
def new(file: Path, replace: bool, columns: str | None, rows: str | None, **told: Any) -> None:
    """Write the wall file of a plain grid; asks for what the options do not say.

    In a terminal the arrow up goes back to the question before, elsewhere a line of `<`. When all
    that has no usual answer is said by options, nothing is asked.

    What was typed in a terminal, and what the options said, waits in FILE.draft until the file is
    written, whatever happens.
    """
    from commission_tui.wall.draft.wall_draft import new_wall_text

    if os.path.lexists(file) and not replace:
        raise InputError(f"{file}: is there already; say --replace to write over it")
    if bool(columns) != bool(rows):
        raise InputError("--columns, --rows: found one of them, expected both, or --grid 9x4")
    if columns:
        told["grid"] = f"{columns}x{rows}"
    draft = KeptAnswers(file)
    drafted = draft.read()
    for question in QUESTIONS:
        if question.when is option_alone and told[question.key] is None:
            told[question.key] = drafted.get(question.key)
    given, said = _given(told), _option_lines(told)
    with reader() as answering:
        answers = interview(
            QUESTIONS,
            given,
            answering,
            check=lambda found: _checked(lambda: new_wall_text(_plan(found))),
            typed=drafted,
            keep=lambda typed: draft.write({**said, **typed}),
        )
    write_whole(file, new_wall_text(_plan(answers)).encode(), InputError)
    draft.remove()
    across, down = answers["grid"]
    say(f"{file}: {across * down} cabinets, data by {answers['route']}")
    say(f"next: commission-tui wall review {file}")


def _option_lines(told: Mapping[str, Any]) -> dict[str, str]:
    """Return what the options say, as it would be typed at the questions."""
    lines = {
        key: text if isinstance(text, str) else "\n".join(text or ()) for key, text in told.items()
    }
    return {key: text for key, text in lines.items() if text}


def _given(told: Mapping[str, Any]) -> dict[str, Any]:
    """Return what the options say, read as the questions read it."""
    found = {}
    for question in QUESTIONS:
        text = told[question.key]
        if text is None or text == ():
            continue
        try:
            found[question.key] = (
                [question.read(line) for line in text] if question.many else question.read(text)
            )
        except InputError as error:
            raise InputError(f"{question.option}: {error}") from None
    return found


def _plan(answers: Mapping[str, Any]) -> PlainGrid:
    from commission_tui.wall.draft.wall_draft import PlainGrid

    return PlainGrid(
        columns=answers["grid"][0],
        rows=answers["grid"][1],
        power_max_w=answers["power_w"],
        frame_rate_hz=frame_rate_hz(answers),
        voltage_v=answers["voltage"],
        breaker_a=answers["breaker"],
        listed={
            "suspension_points": answers["suspension_point"],
            "inputs": answers["input"],
            "cameras": answers["camera"],
            "stage_positions": answers["stage_position"],
            "stated": answers["stated"],
        },
        targets={
            target.key: answers[target.key] for target in TARGETS if answers[target.key] is not None
        },
        settled=settled(answers),
        backups=answers["backup_runs"] if isinstance(answers["backup_runs"], tuple) else (),
        **{key: answers[key] for key in _AS_ASKED},
    )


_AS_ASKED = (
    *("name", "site", "mounting", "region", "units", "time_zone", "cabinet_mm", "cabinet_px"),
    *("modules", "weight_kg"),
    *("power_factor", "power_typical_w", "ports", "pixels_per_port", "ports_in_use", "route"),
    *("load_rule", "phases", "circuits", "residual_ma"),
)


@wall.command("keys")
def keys() -> None:
    """Print the page that explains every key of the wall file, as Markdown."""
    from commission_tui.wall.model.wall_file_keys import page

    say(page())


_ASKED = "How many cabinets may one failure darken, by the contract?"
_WIDTH = 79


@wall.command("failures")
@click.argument("file", type=any_file)
@click.option(
    "--agreed",
    type=click.IntRange(0),
    help="Cabinets that a single failure may darken, by the contract; else as the wall file says.",
)
@click.option("--script", is_flag=True, help="Also the failover test, step by step.")
@json_option
def failures(file: Path, agreed: int | None, script: bool) -> int:
    """List what goes dark when one port, jumper, circuit or shared part fails, the worst first.

    Exit status 1 when one failure loses more cabinets than agreed. Without an agreed number, here
    or in the wall file, nothing is judged: it is asked for.
    """
    from commission_tui.wall.model.wall_file import read_wall
    from commission_tui.wall.review.failure_groups import like_failures
    from commission_tui.wall.review.redundancy import failover_script, graph_of

    hung = read_wall(file)
    graph = graph_of(hung)
    agreed = hung.file.targets.single_failure_cabinets if agreed is None else agreed
    if agreed is None and not wants_json() and sys.stdin.isatty():
        agreed = _asked()
    if agreed is None:
        message(f"{_ASKED} Nobody said: give --agreed, or single_failure_cabinets in [targets]")
    found = graph.failures(agreed)
    steps = failover_script(graph) if script else ()
    answer(
        {
            "agreed": agreed,
            "failures": found,
            "script": steps,
        },
        *_failure_lines(like_failures(hung, found), agreed),
        *(_script(steps) if steps else ()),
    )
    return int(any(failure.beyond_agreed for failure in found))


def _asked() -> int | None:
    """Ask for the agreed number; Enter alone where nobody knows it."""
    asked = f"{_ASKED} Enter alone if nobody said"
    allowed = click.IntRange(-1)
    given: int = click.prompt(asked, type=allowed, default=-1, show_default=False, err=True)
    return None if given < 0 else given


def _failure_lines(groups: Sequence[LikeFailures], agreed: int | None) -> Iterator[str]:
    """Yield what is to be decided first, then the rest."""
    headings = {
        True: f"To decide, more than the {agreed} agreed:",
        False: f"Within the {agreed} agreed:",
        None: "Dark after one failure, the worst first:",
    }
    if agreed is not None and not any(group.beyond_agreed for group in groups):
        yield f"No single failure darkens more than the {agreed} agreed."
    for verdict, heading in headings.items():
        lines = [group.line for group in groups if group.beyond_agreed is verdict]
        yield from (heading, *(_wrapped(line, "  ") for line in lines)) if lines else ()


def _script(steps: Sequence[FailoverStep]) -> Iterator[str]:
    """Yield the failover test, step by step."""
    yield ""
    minutes = -(-sum(step.lasts_s for step in steps) // 60)
    yield f"Failover test, {minutes} min, the numbered pattern on. After each step:"
    yield _wrapped(steps[0].put_back, "  ")
    for step in steps:
        yield _wrapped(step.do, f"{step.starts_s // 60:>3} min  ")
        yield _wrapped(f"expect {step.expect}", " " * 9)


def _wrapped(text: str, before: str) -> str:
    after = " " * (len(before) + 2)
    return textwrap.fill(text, _WIDTH, initial_indent=before, subsequent_indent=after,
                         break_on_hyphens=False)  # fmt: skip


@wall.command("scan")
@click.argument("file", type=any_file)
@click.argument("observed", type=any_file)
@json_option
def scan(file: Path, observed: Path) -> None:
    """Explain what a stepped line did: what is turned, and what has the wrong scan table.

    OBSERVED is CSV: location,across,down. A location is a cabinet (R3C7) or a module (R3C7 m1,2);
    the line runs 'right way', 'backwards', 'jumps' or as a 'comb'.
    """
    from commission_tui.wall.mapping.scan import diagnose_scan, read_scan_table
    from commission_tui.wall.model.wall_file import read_wall

    hung = read_wall(file)
    found = diagnose_scan(hung, read_scan_table(observed, hung))
    answer(found, *found.lines())


def _checked(write: Callable[[], object]) -> None:
    """Try to write the file, and say what stands against it in the words of a question.

    Raises
    ------
    Refused
        When the answers make no wall file.
    """
    try:
        write()
    except CommissionError as error:
        problem = str(error)
        question = about(problem)
        if question is None:
            raise Refused(problem, None) from None
        rest = problem.removeprefix("wall new: ").partition(": ")[2]
        raise Refused(f"{question.words}: {rest}", question.key) from None
