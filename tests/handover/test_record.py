"""The record: canonical, complete, read back; and what its fingerprint does and does not cover."""

from __future__ import annotations

import hashlib
import json
import random
from dataclasses import replace
from pathlib import Path

import pytest

from commission_tui.errors import DocumentError
from commission_tui.handover.record import read_record, record_fingerprint, short_fingerprint
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.record_form import fingerprint, record_bytes
from tests.handover.filled_job import filled
from tests.handover.helping import HOSTILE, make_job, photo, sign


def test_order_of_the_entries_does_not_change_the_record(tmp_path: Path) -> None:
    entries = list(filled(tmp_path).state.entries.values())
    expected = record_bytes(entries)
    random.Random(3).shuffle(entries)  # noqa: S311
    assert record_bytes(entries) == expected


def test_record_is_read_back_whole(tmp_path: Path) -> None:
    job = filled(tmp_path)
    job.correct(min(job.state.entries), replace(job.state.title, name=HOSTILE), HOSTILE)
    sign(job, "integrator", "Ines Okafor")
    content = record_bytes(job.state.entries.values())
    back = read_record(content)
    assert back == [job.state.entries[key] for key in sorted(job.state.entries)]
    assert record_bytes(back) == content


def test_record_is_plain_json_one_entry_a_line_with_sorted_keys(tmp_path: Path) -> None:
    job = make_job(tmp_path)
    content = record_bytes(job.state.entries.values())
    found = json.loads(content)
    assert found["record"] == 1
    lines = content.decode("utf-8").split("\n")
    assert lines[0] == '{"entries":['
    assert lines[len(job.state.entries) + 1 :] == ['],"photos":[', '],"record":1}', ""]
    for line in lines[1:4]:
        keys = list(json.loads(line.rstrip(",")))
        assert keys == sorted(keys)
        assert {"at", "body", "by", "id", "job"} <= {*keys} <= {*e.Entry.__dataclass_fields__}


def test_photos_are_named_by_hash_and_size_even_when_withdrawn(tmp_path: Path) -> None:
    job = make_job(tmp_path)
    path = photo(tmp_path)
    entry = job.photo(path)
    job.correct(entry.id, None, "wrong picture")
    found = json.loads(record_bytes(job.state.entries.values()))
    digest = hashlib.sha256(path.read_bytes()).hexdigest()
    assert found["photos"] == [
        {"media_type": "image/jpeg", "sha256": digest, "size": path.stat().st_size}
    ]


def test_signing_does_not_change_what_was_signed(tmp_path: Path) -> None:
    job = filled(tmp_path)
    before = record_fingerprint(job)
    sign(job, "integrator", "Ines Okafor")
    sign(job, "client", "Marit Hollis")
    assert record_fingerprint(job) == before
    job.record(e.Note(text="one more word"))
    assert record_fingerprint(job) != before


def test_fingerprint_is_the_hash_of_the_record_without_signatures(tmp_path: Path) -> None:
    job = make_job(tmp_path)
    unsigned = record_bytes(job.state.entries.values())
    sign(job, "client", "Marit Hollis")
    assert fingerprint(job.state.entries.values()) == hashlib.sha256(unsigned).hexdigest()


def test_one_changed_character_changes_the_fingerprint(tmp_path: Path) -> None:
    entries = list(make_job(tmp_path).state.entries.values())
    changed = [replace(entries[0], by="Ines Okafox"), *entries[1:]]
    assert fingerprint(changed) != fingerprint(entries)


def test_short_form() -> None:
    assert short_fingerprint("0123456789abcdef" * 4) == "0123 4567 89ab cdef"


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (b"\xff\xfe", "no JSON"),
        (b"{", "no JSON"),
        (b"[" * 100_000, "no JSON"),
        (b"[]", "no entries"),
        (b'{"record":2,"entries":[]}', "no entries of version 1"),
        (b'{"record":1,"entries":{}}', "no entries"),
        (b'{"record":1,"entries":[{"id":"x"}]}', "entry 1"),
        (b'{"record":1,"entries":[NaN]}', "entry 1"),
    ],
)
def test_what_is_no_record_is_one_plain_line(content: bytes, expected: str) -> None:
    with pytest.raises(DocumentError, match=expected) as caught:
        read_record(content)
    assert "\n" not in str(caught.value)
