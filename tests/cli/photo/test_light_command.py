"""Evenness and seams from photographs, from the command line; LEDs that are too small on them."""

from __future__ import annotations

import hashlib
import io
import json
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from commission_tui.wall.model.location import Cell
from tests.cli.helping import Cli
from tests.photo.scene.lit_wall import LitWall, even
from tests.photo.scene.scene import before
from tests.photo.trials.views import shown
from tests.wall.mapping.walls import SERPENTINE, grid_wall

WALL = grid_wall(6, 4, [("R1C1:R4C6", SERPENTINE)])


def job(cli: Cli, folder: Path, text: str) -> str:
    path = folder / "wall.toml"
    path.write_text(text, encoding="utf-8")
    words = ("--name", "Hall", "--client", "Council", "--integrator", "Firm", "--json")
    status, out, err = cli("job", "new", path, *words)
    assert status == 0, err
    found: str = json.loads(out)["job"]
    return found


@pytest.fixture(scope="module")
def pictures(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("pictures")
    scene = before(WALL, 60, yaw_deg=10)
    lit = even(WALL).gained({Cell(2, 3): 0.94})
    scene.file(shown(WALL, "coded tiles"), 1, folder, "tiles", "jpeg")
    scene.file(lit, 2, folder, "white", "jpeg")
    scene.file(lit, 2, folder, "white", "png")
    shares = shown(WALL, "light shares")
    scene.file(LitWall(WALL, lit.light * shares.light), 3, folder, "shares", "jpeg")
    return folder


def _photos(folder: Path) -> list[tuple[dict[str, Any], bytes]]:
    """Return what the logbook says of each photo, and the photo."""
    with closing(sqlite3.connect(folder / "logbook.db")) as book:
        files = dict(book.execute("SELECT sha256, bytes FROM files"))
        found = book.execute("SELECT body FROM entries WHERE kind = 'photo' ORDER BY id")
        bodies = [json.loads(body) for (body,) in found]
    return [(body, files[body["sha256"]]) for body in bodies]


def test_evenness_by_known_shares(cli: Cli, tmp_path: Path, pictures: Path) -> None:
    name = job(cli, tmp_path, WALL.text)
    status, out, err = cli(
        *("photo", "light", name, pictures / "white.jpg", "--tiles", pictures / "tiles.jpg"),
        *("--shares", pictures / "shares.jpg", "--keep", "luminance of every", "--json"),
    )
    assert status == 0, err
    ((kept, content),) = _photos(tmp_path)
    assert kept["check"] == "cabinet-luminance"
    assert "From a photograph" in kept["caption"]
    assert "(k = 2, median)" in kept["caption"]
    assert hashlib.sha256((pictures / "white.jpg").read_bytes()).hexdigest() in kept["caption"]
    with Image.open(io.BytesIO(content)) as shown_flat:
        at_most = np.asarray(shown_flat)[:, shown_flat.width // 2 :].astype(int)
    orange = (at_most[..., 0] - at_most[..., 2] > 150).mean()
    assert orange == pytest.approx(1 / 24, rel=0.3)  # the one that is dim, less its words
    found = json.loads(out)
    assert found["measures"] is True
    assert found["relative"]["R2C3"] == pytest.approx(0.94, abs=0.015)
    assert [o["at"] for o in found["outliers"]] == ["R2C3"]
    assert 0 < found["expanded"] < 0.02
    assert found["cd_m2"] is None


def test_a_jpeg_alone_says_that_it_does_not_measure(
    cli: Cli, tmp_path: Path, pictures: Path
) -> None:
    name = job(cli, tmp_path, WALL.text)
    status, out, err = cli(
        "photo", "light", name, pictures / "white.jpg", "--tiles", pictures / "tiles.jpg"
    )
    assert status == 0
    assert "shows, does not measure" in out
    assert "outlier: R2C3" in out
    assert "--shares" in err


def test_what_is_not_linear_has_no_luminance_and_no_uncertainty(
    cli: Cli, tmp_path: Path, pictures: Path
) -> None:
    name = job(cli, tmp_path, WALL.text)
    meter = ("--name", "Spot", "--serial", "7", "--accuracy", "cd/m2=2")
    assert cli("log", "instrument", name, "spot", *meter)[0] == 0
    reading = ("log", "reading", name, "brightness", "luminance_cd_m2")
    for point in range(1, 10):
        assert cli(*reading, f"point {point}", 800 + point, "--confirm")[0] == 0
    words = ("photo", "light", name, "--tiles", pictures / "tiles.jpg")
    for more in ((), ("--meter", "brightness")):
        status, out, err = cli(*words, pictures / "white.jpg", *more)
        assert status == 0
        assert not [word for word in ("cd/m²", "±", "k = 2") if word in out]
        assert ("--meter: no cd/m² from a picture that is not linear" in err) == bool(more)
    found = json.loads(cli(*words, pictures / "white.jpg", "--json")[1])
    assert found["cd_m2"] is found["cd_m2_expanded"] is found["steps"][0]["expanded"] is None
    assert "cd/m² at " in cli(*words, pictures / "white.png", "--linear")[1]


def test_a_linear_file_measures_and_meets_the_meter(
    cli: Cli, tmp_path: Path, pictures: Path
) -> None:
    name = job(cli, tmp_path, WALL.text)
    status, _, err = cli(
        *("photo", "light", name, pictures / "white.png", "--tiles", pictures / "tiles.jpg"),
        *("--linear", "--meter", "brightness at nine"),
    )
    assert status == 2
    assert err == "--meter: found no nine points logged under 'brightness at nine'\n"


def test_too_far_for_leds_is_one_line(cli: Cli, tmp_path: Path, pictures: Path) -> None:
    name = job(cli, tmp_path, WALL.text)
    status, _, err = cli(
        "photo", "pixels", name, pictures / "white.jpg", "--tiles", pictures / "tiles.jpg"
    )
    assert status == 2
    assert "stand nearer" in err
    assert err.count("\n") == 1


def test_seams_come_with_their_gap(cli: Cli, tmp_path: Path, pictures: Path) -> None:
    name = job(cli, tmp_path, WALL.text)
    words = ("photo", "seams", name, pictures / "white.jpg", "--tiles", pictures / "tiles.jpg")
    status, out, _ = cli(*words, "--json")
    assert status == 0
    seams = json.loads(out)["seams"]
    assert len(seams) == 6 * 3 + 5 * 4
    assert set(seams[0]) == {"at", "kind", "contrast", "gap_mm", "expanded_mm"}
    status, out, err = cli(*words)
    assert (status, "between cabinets" in out, "is told from" in err) == (0, True, True)
