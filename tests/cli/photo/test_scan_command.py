"""A video of the stepped line from the command line, to a table that `wall scan` takes."""

from __future__ import annotations

from pathlib import Path

from tests.cli.helping import Cli, as_json
from tests.photo.films import filmed
from tests.photo.scene.line_film import LineFilm, one_module, turned
from tests.photo.walls_hung import small_wall

WALL = small_wall(3, 2)


def test_a_video_becomes_findings_and_a_table(cli: Cli, tmp_path: Path) -> None:
    (tmp_path / "wall.toml").write_text(WALL.text, encoding="utf-8")
    film = LineFilm(WALL, {"R2C2": one_module(1, 0, turned)}, steps_per_s=40, px_a_led=1.4)
    video = filmed(tmp_path / "line.mp4", film.frames(), film.frames_per_s)
    wall, seen = tmp_path / "wall.toml", tmp_path / "seen.csv"
    found = as_json(cli("photo", "scan", wall, video, "-o", seen, "--json"))
    assert found["modules"]["R2C2 m2,1"] == {"across": "backwards", "down": "backwards"}
    assert [(one["kind"], one["where"]) for one in found["findings"]] == [("turned", "R2C2 m2,1")]
    status, out, _ = cli("wall", "scan", wall, seen)
    assert status == 0
    assert "turned (module, R2C2 m2,1)" in out
    status, out, _ = cli("photo", "scan", wall, video)
    assert status == 0
    assert "24 of 24 modules read" in out


def test_what_is_no_video_is_one_line(cli: Cli, tmp_path: Path) -> None:
    (tmp_path / "wall.toml").write_text(WALL.text, encoding="utf-8")
    (tmp_path / "cut.mp4").write_bytes(b"\x00\x00\x00\x18ftypmp42" + bytes(99))
    for name in ("cut.mp4", "gone.mp4"):
        status, out, err = cli("photo", "scan", tmp_path / "wall.toml", tmp_path / name)
        assert (status, out) == (2, "")
        assert len(err.splitlines()) == 1
        assert name in err
