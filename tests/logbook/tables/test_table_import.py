"""A meter's table: sound rows become readings, each bad row is one line that names it."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from commission_tui.errors import InputError
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.tables.table_import import read_table
from commission_tui.logbook.tables.table_rows import RowCount
from commission_tui.wall.model.time_zones import at_the_wall


def table(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "meter.csv"
    path.write_text(text, encoding="utf-8")
    return path


HEAD = "place,value,unit\n"


def rows(count: int) -> str:
    cells = [f"R{r}C{c}" for r in range(1, 7) for c in range(1, 13)]
    return "".join(f"{cell},{200 + i / 10},cd/m2\n" for i, cell in enumerate(cells[:count]))


def read(job: OpenJob, path: Path) -> tuple[int, list[str]]:
    found = read_table(job, path, check="cabinet-luminance", field="luminance_cd_m2")
    return len(found.good), found.bad


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_a_whole_table_is_taken(metered: OpenJob, tmp_path: Path, delimiter: str) -> None:
    path = table(tmp_path, (HEAD + rows(72)).replace(",", delimiter))
    assert read(metered, path) == (72, [])


def test_the_check_and_field_can_be_columns(metered: OpenJob, tmp_path: Path) -> None:
    path = table(
        tmp_path,
        "\ufeffCheck,Field,Place,Value\r\nbrightness,luminance_cd_m2,point 1,612.5\r\n"
        "cabinet-mapping,all_in_place,wall,yes\r\n",
    )
    found = read_table(metered, path)
    assert [(r.check, r.value) for r in found.good] == [
        ("brightness", 612.5),
        ("cabinet-mapping", True),
    ]
    assert not found.bad


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("R1C1,612.5,lx", "line 2: column 'unit': found the unit 'lx', expected cd/m2 or"),
        ('R1C1,"1,612",cd/m2', "line 2: value: found '1,612', whose comma may part thousands"),
        ("R1C1,nan,cd/m2", "line 2: value: found 'nan', expected a number in cd/m2"),
        ("R1C1,inf,cd/m2", "expected a number"),
        ("R1C1,1e999,cd/m2", "expected a number"),
        ("R1C1,1_000,cd/m2", "expected a number"),
        ("R9C9,600,cd/m2", "place: found 'R9C9', expected such as R1C1 or R1C2"),
        ("R1C1,600", "found 2 cells, expected 3"),
        ("=cmd|' /C calc',600,cd/m2", "place: found"),
    ],
)
def test_a_bad_row_is_named(metered: OpenJob, tmp_path: Path, row: str, said: str) -> None:
    good, bad = read(metered, table(tmp_path, HEAD + row + "\n"))
    assert good == 0
    assert len(bad) == 1
    assert said in bad[0]
    assert "\n" not in bad[0]


def test_one_bad_row_among_many_is_found(metered: OpenJob, tmp_path: Path) -> None:
    lines = rows(72).splitlines()
    lines[40] = lines[40].replace("cd/m2", "lx")
    good, bad = read(metered, table(tmp_path, HEAD + "\n".join(lines)))
    assert good == 71
    assert [line.split(": ")[1] for line in bad] == ["line 42"]


def test_every_row_is_read_refused_or_without_a_value(metered: OpenJob, tmp_path: Path) -> None:
    path = table(tmp_path, "place,value\nR1C1,600\nR1C2,\nR9C9,600\nR1C3,x\nR1C4")
    found = read_table(metered, path, check="cabinet-luminance", field="luminance_cd_m2")
    assert found.count == RowCount(read=1, refused=3, empty=1)
    assert found.count.text == "5 rows: 1 read, 3 refused, 1 without a value"
    assert "1 row without a value: line 3" in found.notes


def test_a_row_cut_short_is_named_in_a_table_with_headings_of_its_own(
    metered: OpenJob, tmp_path: Path
) -> None:
    path = table(tmp_path, "place,luminance_cd_m2\nR1C1,600\nR1C2,\nR4")
    columns = {"place": "place", "luminance_cd_m2": "luminance_cd_m2"}
    mapping = body(e.TableMapping, name="m", check="cabinet-luminance", columns=columns)
    found = read_table(metered, path, mapping=mapping)
    assert found.count == RowCount(read=1, refused=1, empty=1)
    assert found.told == ["line 4: found 1 cell, expected 2"]


def test_a_meters_time_before_the_visit_that_goes_on_is_asked_about(
    metered: OpenJob, tmp_path: Path
) -> None:
    metered.record(body(e.VisitBegun, name="30 days"))
    zone = metered.state.wall.file.wall.time_zone
    begun = at_the_wall(metered.state.visits[-1].at, zone)
    times = [begun - timedelta(days=1), begun - timedelta(minutes=9), begun + timedelta(minutes=2)]
    written = [f"{time:%Y-%m-%d %H:%M}" for time in times]
    day = f"{times[0]:%Y-%m-%d}"
    cells = [*written, day, f"{begun:%Y-%m-%d}", f"{begun:%d.%m.%Y} 1:00 PM", "00:01", ""]
    lines = "".join(f"R1C{n},{600 + n},{time}\n" for n, time in enumerate(cells, start=1))
    columns = {"P": "place", "L": "luminance_cd_m2", "T": "time"}
    mapping = body(e.TableMapping, name="m", check="cabinet-luminance", columns=columns)
    found = read_table(metered, table(tmp_path, "P,L,T\n" + lines), mapping=mapping)
    assert not found.bad
    asked = [line.split("luminance_cd_m2 at ")[1][:4] for line in found.odd]
    assert asked == ["R1C1", "R1C2", "R1C4"]
    assert f"{written[0]} on the meter is before visit '30 days'" in found.odd[0]


def test_a_row_refused_in_two_fields_is_one_row(metered: OpenJob, tmp_path: Path) -> None:
    path = table(tmp_path, "P,x,y\nR9C9,0.3,0.3\nR1C1,0.31,0.33\n")
    columns = {"P": "place", "x": "x", "y": "y"}
    mapping = body(e.TableMapping, name="m", check="cabinet-luminance", columns=columns)
    found = read_table(metered, path, mapping=mapping)
    assert found.count == RowCount(read=1, refused=1)
    assert len(found.told) == 1


@pytest.mark.parametrize("bad", ["R1C2,600,31.2%,0.33", "R1C2,600,0.31,7"])
def test_nothing_of_a_row_that_is_refused_is_read(
    metered: OpenJob, tmp_path: Path, bad: str
) -> None:
    path = table(tmp_path, f"P,L,x,y\nR1C1,601,0.31,0.33\n{bad}\nR1C3,602,,0.33\nR1C4,,,\n")
    columns = {"P": "place", "L": "luminance_cd_m2", "x": "x", "y": "y"}
    mapping = body(e.TableMapping, name="m", check="cabinet-luminance", columns=columns)
    found = read_table(metered, path, mapping=mapping)
    assert [one.place for one in found.good] == ["R1C1"] * 3 + ["R1C3"] * 2
    assert not [line for line in found.odd if "line 3" in line]
    assert found.count == RowCount(read=2, refused=1, empty=1, partly=1)
    assert found.count.text == (
        "4 rows: 2 read, 1 of them without some values, 1 refused, 1 without a value"
    )
    assert "1 row without some values: line 4" in found.notes


def test_a_blank_in_a_row_that_is_refused_is_not_told_besides(
    metered: OpenJob, tmp_path: Path
) -> None:
    path = table(tmp_path, "P,L,x,y\nR1C1,601,0.31,\nR1C2,,31.2%,0.33\nR1C3,602,,0.33\n")
    columns = {"P": "place", "L": "luminance_cd_m2", "x": "x", "y": "y"}
    mapping = body(e.TableMapping, name="m", check="cabinet-luminance", columns=columns)
    found = read_table(metered, path, mapping=mapping)
    assert "2 rows without some values: lines 2, 4" in found.notes
    assert found.told == ["line 3: value: found '31.2%', expected a number in xy"]


def test_one_sentence_is_said_once_with_all_its_lines(metered: OpenJob, tmp_path: Path) -> None:
    bad = "".join(f"R1C{n},x{n},cd/m2\n" for n in range(1, 13))
    found = read_table(
        metered, table(tmp_path, HEAD + bad), check="cabinet-luminance", field="luminance_cd_m2"
    )
    assert len(found.bad) == 12
    assert found.told == [
        "lines 2, 3, 4, 5, 6, 7 and 6 more: value: found 'x1', 'x2', 'x3' and 9 more, "
        "expected a number in cd/m2"
    ]


def test_a_place_twice_is_told(metered: OpenJob, tmp_path: Path) -> None:
    path = table(tmp_path, HEAD + "R1C1,600,cd/m2\nR1C1,601,cd/m2\n")
    good, bad = read(metered, path)
    assert good == 1
    assert "found R1C1 again, first on line 2" in bad[0]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "line 1: column place is missing"),
        ("place,unit\nR1C1,cd/m2\n", "line 1: column value is missing"),
        ("place,vlaue\nR1C1,1\n", "found column 'vlaue', expected .*did you mean 'value'"),
        ("place,value,value\nR1C1,1,1\n", "found a column twice"),
        ("place,value\n", "found no rows"),
        ('place,value\nR1C1,"600\n', "not CSV"),
    ],
)
def test_a_table_that_is_none_is_one_line(
    metered: OpenJob, tmp_path: Path, text: str, said: str
) -> None:
    with pytest.raises(InputError, match=said):
        read(metered, table(tmp_path, text))


def test_a_file_that_is_no_text_is_one_line(metered: OpenJob, tmp_path: Path) -> None:
    path = tmp_path / "x.csv"
    path.write_bytes(b"place,value\n\xff\xfe\x00")
    with pytest.raises(InputError, match="not UTF-8"):
        read(metered, path)
    with pytest.raises(InputError, match="cannot be read"):
        read(metered, tmp_path / "missing.csv")


def test_nothing_is_logged_by_reading_a_table(metered: OpenJob, tmp_path: Path) -> None:
    before = len(metered.state.entries)
    read(metered, table(tmp_path, HEAD + rows(72)))
    assert len(metered.state.entries) == before
