"""A telephone's folder after the evening, from files to photos in the logbook; and the clock for it."""

from __future__ import annotations

import sys
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from commission_tui.cli.options import Measured, any_file, json_option, on_job, wants_json
from commission_tui.cli.output import answer, message, say, terminal
from commission_tui.errors import InputError
from commission_tui.text import counted

if TYPE_CHECKING:
    from commission_tui.logbook.job import OpenJob
    from commission_tui.logbook.state.state import State
    from commission_tui.photo.evening.folder_matching import Moment, Proposal
    from commission_tui.wall.model.location import Cell

_TOLD_EVERY = 10
_TO_THE_TOP = "\x1b[H\x1b[2J"
_BLACK_ON_WHITE = "\x1b[97;40m", "\x1b[0m"
"""Light is drawn: bright white on black, whatever the terminal's own colours are."""


@click.command("match")
@on_job
@click.argument("folder", type=any_file)
@click.option("--log", "log_all", is_flag=True, help="Log what is proposed without asking.")
@click.option(
    "--leave", multiple=True, metavar="NAME", help="A picture to leave out; may be repeated."
)
@click.option("--within", type=Measured("min"), default=5.0, show_default=True, help="Minutes.")
@click.option("--keep-place", is_flag=True, help="Keep where pictures were taken (GPS).")
@json_option
def match(
    opened: OpenJob,
    folder: Path,
    log_all: bool,
    leave: tuple[str, ...],
    within: float,
    keep_place: bool,
) -> None:
    """Attach a telephone's pictures to what was logged: nearest in time, or by the mark they show.

    Photograph 'photo clock' on the laptop once with each telephone: it sets that telephone's clock
    right. Without it the clock is taken to show this computer's local time. One list is shown and
    asked about; without a terminal nothing is logged unless --log says so. The place (GPS) is taken
    out of what is kept.
    """
    from commission_tui.photo.evening.folder_matching import clock_offsets, matched, read_folder

    if not 0 < within <= 24 * 60:
        raise InputError(
            f"--within: found {within:g}, expected more than 0 and at most 1440 minutes"
        )
    state = opened.state
    pictures, broken = read_folder(state.wall, folder, _progress)
    names = {picture.path.name for picture in pictures}
    for name in leave:
        if name not in names:
            raise InputError(f"--leave: found '{name}', expected a picture of {folder}")
    offsets = clock_offsets(pictures)
    pictures = tuple(picture for picture in pictures if picture.path.name not in leave)
    proposals = matched(pictures, _moments(state), timedelta(minutes=within))
    there = _kept(state)
    fresh = [p for p in proposals if p.moment is not None and p.taken.sha256 not in there]
    cameras = {p.taken.camera for p in fresh} - set(offsets)
    if not wants_json():
        _show(proposals, there)
        for camera, off in offsets.items():
            seconds = off.total_seconds()
            say(f"clock of {camera or 'the camera'}: UTC is {seconds:+.0f} s from what it shows")
    for line in broken:
        message(line)
    if cameras:
        message(
            "no picture of 'photo clock' by "
            f"{', '.join(sorted(c or 'a camera without a name' for c in cameras))}: its clock is "
            "taken to show this computer's local time"
        )
    if fresh and not log_all and not wants_json() and terminal():
        log_all = click.confirm(f"Log {counted(len(fresh), 'photo')}?", default=False)
    logged = [_log(opened, proposal, keep_place=keep_place) for proposal in fresh if log_all]
    told = f"nothing logged; --log logs {counted(len(fresh), 'photo')}"
    answer(
        {
            "proposals": [_as_dict(proposal, there) for proposal in proposals],
            "clock_offsets_s": {c: off.total_seconds() for c, off in offsets.items()},
            "not_read": broken,
            "logged": logged,
        },
        f"{counted(len(logged), 'photo')} logged" if log_all else told,
    )


@click.command("clock")
@click.option("--once", is_flag=True, help="Show it once and end.")
def clock(once: bool) -> None:
    """Show the time as a code for the telephone's camera; ^C ends it.

    Photograph it with every telephone that will take pictures, the whole code sharp in the picture.
    """
    from commission_tui.photo.evening.clock_code import clock_rows

    live = terminal() and not once
    on, off = _BLACK_ON_WHITE if terminal() else ("", "")
    try:
        while True:
            now = datetime.now(UTC).replace(microsecond=0)
            lines = [f"{on}{row}{off}" for row in clock_rows(now)]
            words = f"{now.astimezone():%Y-%m-%d %H:%M:%S}  photograph this with the telephone"
            click.echo((_TO_THE_TOP if live else "") + "\n".join([*lines, words]))
            if not live:
                return
            sys.stdout.flush()
            time.sleep(1.0 - datetime.now(UTC).microsecond / 1e6)
    except KeyboardInterrupt:
        return


def _progress(done: int, of: int) -> None:
    if done and done % _TOLD_EVERY == 0:
        message(f"picture {done} of {of}")


def _moments(state: State) -> list[Moment]:
    """Return all faults, readings and notes, with when they were logged."""
    from commission_tui.photo.evening.folder_matching import Moment

    found = []
    for fault in state.faults:
        said = fault.found.body
        what = f"fault {fault.number}, {said.location} {said.fault}"
        cell = _cell(said.location)
        found.append(Moment(_at(fault.found.at), what, about=fault.id, cell=cell))
    for check, slots in sorted(state.readings.items()):
        times = {logged.at for readings in slots.values() for logged in readings}
        found += [Moment(_at(at), f"check {check}", check=check) for at in sorted(times)]
    for note in state.notes:
        under = f" under {note.body.check}" if note.body.check is not None else ""
        what = f"note{under}: {note.body.text}"
        found.append(Moment(_at(note.at), what, check=note.body.check))
    return found


def _at(text: str) -> datetime:
    at = datetime.fromisoformat(text)
    return at if at.tzinfo else at.replace(tzinfo=UTC)


def _cell(location: str) -> Cell | None:
    from commission_tui.wall.model.location import parse_location

    try:
        return parse_location(location).cell
    except InputError:
        return None


def _kept(state: State) -> frozenset[str]:
    """Return the hashes of what is logged already, as kept and as it was before its place was taken out."""
    words = [word for photo in state.photos for word in photo.body.caption.split()]
    return frozenset([*(photo.body.sha256 for photo in state.photos), *words])


def _show(proposals: tuple[Proposal, ...], there: frozenset[str]) -> None:
    for proposal in proposals:
        why = "logged already" if proposal.taken.sha256 in there else proposal.why
        when = "" if proposal.at is None else f"  {proposal.at.astimezone():%H:%M:%S}"
        say(f"{proposal.taken.path.name}{when}")
        # A line of its own: beside a name and a time it would not fit into 80 columns.
        say(f"  {why}" if proposal.moment is None else f"  to {proposal.moment.what}: {why}")


def _as_dict(proposal: Proposal, there: frozenset[str]) -> dict[str, Any]:
    moment = proposal.moment
    return {
        "picture": proposal.taken.path.name,
        "sha256": proposal.taken.sha256,
        "taken": None if proposal.at is None else proposal.at.isoformat(),
        "goes_to": None if moment is None else moment.what,
        "fault": None if moment is None else moment.about,
        "check": None if moment is None else moment.check,
        "why": proposal.why,
        "logged_already": proposal.taken.sha256 in there,
    }


def _log(opened: OpenJob, proposal: Proposal, *, keep_place: bool) -> str:
    moment = proposal.moment
    if moment is None:
        raise ValueError("a picture that belongs to nothing")
    said = [proposal.why]
    if moment.about is None and moment.check is None:
        said.append(moment.what)
    return opened.photo(
        proposal.taken.path,
        about=moment.about,
        check=moment.check,
        caption="; ".join(said),
        keep_place=keep_place,
    ).id
