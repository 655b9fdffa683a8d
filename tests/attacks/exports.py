"""Attacks on an export in JSON: each gets the export and returns what is handed on in its place."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

Export = dict[str, Any]


def fingerprint_left_out(content: bytes) -> bytes:
    """Nothing says which record it is."""
    return _changed(content, lambda made: made.pop("fingerprint"))


def fingerprint_of_another(content: bytes) -> bytes:
    """It passes for the record that was signed."""
    return _changed(content, lambda made: made.update(fingerprint="0" * 64))


def fingerprint_said_twice(content: bytes) -> bytes:
    """One reader takes the first, another one the last."""
    return content.replace(b"{\n", b'{\n "fingerprint": "' + b"0" * 64 + b'",\n', 1)


def fingerprint_that_is_no_text(content: bytes) -> bytes:
    """A reader that asks only for text takes it for none."""
    return _changed(content, lambda made: made.update(fingerprint=None))


def client_changed(content: bytes) -> bytes:
    """Another client's name over the same record."""
    return _changed(content, lambda made: made["job"].update(client="Another council"))


def name_changed(content: bytes) -> bytes:
    """Another job's name."""
    return _changed(content, lambda made: made["job"].update(name="Another hall"))


def integrator_changed(content: bytes) -> bytes:
    """Another firm's name."""
    return _changed(content, lambda made: made["job"].update(integrator="Another firm"))


def reference_changed(content: bytes) -> bytes:
    """Another contract."""
    return _changed(content, lambda made: made["job"].update(reference="X-1"))


def id_changed(content: bytes) -> bytes:
    """It is looked for under another job."""
    return _changed(content, lambda made: made["job"].update(id="0" * 36))


def head_left_out(content: bytes) -> bytes:
    """Nothing says whose it is."""
    return _changed(content, lambda made: made.pop("job"))


def key_added_to_the_head(content: bytes) -> bytes:
    """Something that is nowhere in the record."""
    return _changed(content, lambda made: made["job"].update(accepted="yes"))


def key_added(content: bytes) -> bytes:
    """The same, beside the record."""
    return _changed(content, lambda made: made.update(accepted=True))


def key_said_twice_in_the_head(content: bytes) -> bytes:
    """One reader shows the client, another one somebody else."""
    return content.replace(b'"client":', b'"client": "Another council", "client":', 1)


def verdict_turned_to_pass(content: bytes) -> bytes:
    """A check that failed has passed."""
    return _verdict(content, lambda one: one.update(verdict="pass"))


def verdict_so_far_turned(content: bytes) -> bytes:
    """A check that is not done looks good so far."""
    return _verdict(content, lambda one: one.update(so_far="pass"))


def verdict_left_out(content: bytes) -> bytes:
    """A check that failed was never agreed."""
    return _changed(content, lambda made: made["verdicts"].pop(0))


def verdict_added(content: bytes) -> bytes:
    """A check that nobody made has passed."""
    return _changed(content, lambda made: made["verdicts"].append(made["verdicts"][0]))


def verdicts_in_another_order(content: bytes) -> bytes:
    """What failed comes where nobody looks."""
    return _changed(content, lambda made: made["verdicts"].reverse())


def verdicts_left_out(content: bytes) -> bytes:
    """Nothing failed."""
    return _changed(content, lambda made: made.update(verdicts=[]))


def verdicts_that_are_no_list(content: bytes) -> bytes:
    """The same, in another shape."""
    return _changed(content, lambda made: made.update(verdicts={}))


def reason_of_a_verdict_changed(content: bytes) -> bytes:
    """A check failed for another reason."""
    return _verdict(content, lambda one: one.update(reason="as agreed"))


def figure_changed(content: bytes) -> bytes:
    """A figure that nobody measured."""

    def other(made: Export) -> None:
        one = next(one for one in made["verdicts"] if one["figures"])
        one["figures"][0]["value"] = 1.0

    return _changed(content, other)


def figures_text_changed(content: bytes) -> bytes:
    """A figure reads otherwise than it is."""

    def other(made: Export) -> None:
        one = next(one for one in made["verdicts"] if one["figures"])
        one["figures"][0]["text"] = "1"

    return _changed(content, other)


def key_said_twice_in_a_verdict(content: bytes) -> bytes:
    """One reader sees the verdict, another one a pass."""
    return content.replace(b'"verdict": "', b'"verdict": "pass", "verdict": "', 1)


def key_added_to_a_verdict(content: bytes) -> bytes:
    """A remark that nobody made."""
    return _verdict(content, lambda one: one.update(waived="by the client"))


def entry_changed(content: bytes) -> bytes:
    """A reading is better than it was."""
    return _entry(content, lambda one: one.update(at="2026-05-01T12:00:00.000Z"))


def entry_left_out(content: bytes) -> bytes:
    """A fault is gone."""
    return _changed(content, lambda made: made["record"]["entries"].pop(-2))


def last_entry_left_out(content: bytes) -> bytes:
    """The last thing that was found is gone."""
    return _changed(content, lambda made: made["record"]["entries"].pop())


def entries_in_another_order(content: bytes) -> bytes:
    """A reader that takes them as they come sees another history."""
    return _changed(content, lambda made: made["record"]["entries"].reverse())


def key_added_to_an_entry(content: bytes) -> bytes:
    """Something that no entry can say."""
    return _entry(content, lambda one: one.update(checked="yes"))


def key_said_twice_in_an_entry(content: bytes) -> bytes:
    """One reader sees who logged it, another one somebody else."""
    return content.replace(b'"by":', b'"by": "Marit Hollis", "by":', 1)


def photo_left_out_of_the_list(content: bytes) -> bytes:
    """A photo of a fault is not looked for."""
    return _changed(content, lambda made: made["record"]["photos"].pop())


def photo_of_another_size(content: bytes) -> bytes:
    """A photo is taken for another one."""
    return _changed(content, lambda made: made["record"]["photos"][0].update(size=1))


def record_of_another_form(content: bytes) -> bytes:
    """A version that nobody reads is not looked at."""
    return _changed(content, lambda made: made["record"].update(record=2))


def number_that_is_none(content: bytes) -> bytes:
    """Readers take NaN for any number."""
    return content.replace(b'"record": 1', b'"record": NaN', 1)


def _changed(content: bytes, change: Callable[[Export], object]) -> bytes:
    made = json.loads(content)
    change(made)
    return json.dumps(made, ensure_ascii=False, indent=1).encode()


def _verdict(content: bytes, change: Callable[[Export], object]) -> bytes:
    def other(made: Export) -> None:
        change(next(one for one in made["verdicts"] if one["verdict"] == "open"))

    return _changed(content, other)


def _entry(content: bytes, change: Callable[[Export], object]) -> bytes:
    return _changed(content, lambda made: change(made["record"]["entries"][2]))
