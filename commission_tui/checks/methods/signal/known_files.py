"""Files that were kept, told apart by their SHA-256."""

from __future__ import annotations

import re
from dataclasses import replace

from commission_tui.checks.methods.plain_limits import with_answers
from commission_tui.checks.methods.signal.first_light import with_exceptions
from commission_tui.checks.model.types import CheckInput, Outcome, Verdict
from commission_tui.checks.registry import method

_HASH = re.compile(r"(?<![0-9a-zA-Z])[0-9a-f]{6,64}(?![0-9a-zA-Z])")
_FIGURES = 8


@method(fields="card_programme kept card_firmware? processor_firmware?", reads_record=True)
def known_good_files(data: CheckInput) -> Outcome:
    """Look for the programme's hash among the files that are kept with the job."""
    found = data.one("card_programme")
    if found is None:
        return Outcome(Verdict.OPEN, "the programme's file and its hash are needed")
    given = [one for one in _hashes(str(found.value)) if len(one) >= _FIGURES]
    kept = [n for n, digest in data.record().files if any(digest.startswith(h) for h in given)]
    wrong = []
    if not given:
        wrong.append("no SHA-256 is given, the first eight figures are enough")
    elif not kept:
        wrong.append(f"no file kept with the job has the SHA-256 {given[0]}")
    return with_answers(
        data,
        wrong=wrong,
        remark=f"{kept[0]} is kept with the job, its SHA-256 agrees" if kept else "",
        next_step="Keep the file with the job, and log the first eight figures of its SHA-256.",
    )


@method()
def card_programmes(data: CheckInput) -> Outcome:
    """Weigh as `with_exceptions` does, and hold the checksum against the known-good cabinet's."""
    outcome = with_exceptions(data)
    known = data.beside.get("known_good", {}).get("wall")
    found = data.one("identity")
    if known is None or found is None:
        return outcome
    good, here = _hashes(str(known.value)), _hashes(str(found.value))
    if not good or not here or any(_same(a, b) for a in good for b in here):
        return outcome
    return replace(
        outcome,
        verdict=Verdict.FAIL,
        reason=f"Not the programme of the known-good cabinet, {good[0]}; {outcome.reason}",
        next_step="Load the known-good cabinet's programme, or log anew which one is good.",
    )


def _hashes(text: str) -> list[str]:
    return _HASH.findall(text.lower())


def _same(one: str, other: str) -> bool:
    return one.startswith(other) or other.startswith(one)
