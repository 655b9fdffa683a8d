"""Photos, tables and checklists that are damaged, endless or not what they say."""

from __future__ import annotations

import io
import os
import threading
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from commission_tui.checks.checklists.checklist_file import (
    files_with,
    parse_checklist,
    shipped_files,
)
from commission_tui.errors import ChecklistError, InputError
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.tables.table_import import read_table


@pytest.fixture
def jpeg(tmp_path: Path) -> Path:
    path = tmp_path / "photo.jpg"
    out = io.BytesIO()
    Image.effect_noise((200, 100), 50).save(out, "JPEG")
    path.write_bytes(out.getvalue())
    return path


def kept_files(job: OpenJob) -> int:
    return int(job._store._db.execute("SELECT count(*) FROM files").fetchone()[0])


def test_a_photo_is_kept_once(job: OpenJob, jpeg: Path) -> None:
    first, second = job.photo(jpeg), job.photo(jpeg, caption="again")
    assert isinstance(first.body, e.Photo)
    assert isinstance(second.body, e.Photo)
    assert job.file(first.body.sha256) == jpeg.read_bytes()
    assert (kept_files(job), len(job.state.photos)) == (1, 2)


def test_a_photo_that_ends_early_is_refused_now_not_at_the_handover(
    job: OpenJob, jpeg: Path
) -> None:
    jpeg.write_bytes(jpeg.read_bytes()[:-200])
    with pytest.raises(InputError, match="expected a whole photo"):
        job.photo(jpeg)
    assert kept_files(job) == 0


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ({"check": "nonsense"}, "expected a check of this job"),
        ({"about": "nonsense"}, "expected a fault of this job"),
        ({"caption": "\x1b[31m"}, "cannot be printed"),
    ],
)
def test_a_photo_that_cannot_be_logged_leaves_no_file_behind(
    job: OpenJob, jpeg: Path, words: dict[str, Any], said: str
) -> None:
    with pytest.raises(InputError, match=said):
        job.photo(jpeg, **words)
    assert kept_files(job) == 0


def test_an_endless_device_is_refused(job: OpenJob) -> None:
    for read in (job.photo, lambda path: read_table(job, path)):
        with pytest.raises(InputError, match="found more than"):
            read(Path("/dev/zero"))


def test_a_table_may_come_from_a_pipe(metered: OpenJob, tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    writing = threading.Thread(target=pipe.write_text, args=("place,value\nR1C1,200\n",))
    writing.start()
    rows = read_table(metered, pipe, check="cabinet-luminance", field="luminance_cd_m2")
    writing.join()
    assert [row.value for row in rows.good] == [200.0]


def test_a_table_of_something_else_is_refused_early(job: OpenJob, tmp_path: Path) -> None:
    table = tmp_path / "other.csv"
    table.write_text("check,field,place,value\n" + "cabinet-luminnce,x,R1C1,1\n" * 20_000)
    with pytest.raises(InputError, match=r"line 2: .*found more than 1000 such rows"):
        read_table(job, table)


@pytest.mark.parametrize("value", ["1e308", "-1e308", "1e13"])
def test_a_number_that_no_sum_can_hold_is_refused(
    metered: OpenJob, tmp_path: Path, value: str
) -> None:
    table = tmp_path / "meter.csv"
    table.write_text(f"place,value\nR1C1,{value}\n")
    rows = read_table(metered, table, check="cabinet-luminance", field="luminance_cd_m2")
    assert not rows.good
    assert "expected at most 1e+12" in rows.bad[0]


CHECK = """
order = 60
id = "own"
title = "Own"
[[checks]]
id = "own"
title = "Own"
why = "w"
do = ["look"]
method = "in_limits"
[[checks.fields]]
name = "seen"
label = "Seen"
kind = "yes-no"
"""


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("order = 60", f"order = {'9' * 5000}", "not TOML"),
        ("order = 60", "order = " + "[" * 10_000 + "]" * 10_000, "nested too deeply"),
        ("Seen", "\\u001b[2J", "found characters that cannot be printed, expected plain text"),
        ('"Own"', '"\\u202eOwn"', "expected plain text"),
        ("in_limits", "in_limts", "did you mean 'in_limits'"),
        ('kind = "yes-no"', 'unit = "furlong"', "unit: found 'furlong', expected one of"),
        ('kind = "yes-no"', 'kidn = "yes-no"', "did you mean 'kind'"),
        ('id = "own"', f'id = "{"(a+)+" * 10_000}!"', "id: found"),
    ],
)
def test_a_hostile_checklist_is_one_line(old: str, new: str, said: str) -> None:
    parse_checklist({**shipped_files(), "own.toml": CHECK})
    with pytest.raises(ChecklistError, match=said) as refused:
        parse_checklist({**shipped_files(), "own.toml": CHECK.replace(old, new)})
    assert "\x1b" not in str(refused.value)


def test_a_folder_of_very_many_files_is_no_folder_of_checklists(tmp_path: Path) -> None:
    for number in range(201):
        (tmp_path / f"{number}.toml").touch()
    with pytest.raises(ChecklistError, match="more than 200 files"):
        files_with(tmp_path)


def test_a_folder_and_a_device_among_the_checklists_are_one_line(tmp_path: Path) -> None:
    (tmp_path / "a.toml").mkdir()
    with pytest.raises(ChecklistError, match="Is a directory"):
        files_with(tmp_path)
    (tmp_path / "a.toml").rmdir()
    (tmp_path / "a.toml").symlink_to("/dev/zero")
    with pytest.raises(ChecklistError, match="expected a checklist"):
        files_with(tmp_path)
