"""The wall as DXF: true size, both views, the same bytes, no code in what was typed.

Read back and audited with ezdxf, the reference library for the format in Python.
"""

from __future__ import annotations

import io
from pathlib import Path

import ezdxf.filemanagement
import pytest
from ezdxf.document import Drawing
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.entities.text import Text

from commission_tui.handover.drawings.dxf import LAYERS, dxf_text
from tests.handover.helping import HOSTILE, export_dxf, make_job


def read(content: bytes) -> Drawing:
    return ezdxf.filemanagement.read(io.StringIO(content.decode("utf-8")))


@pytest.fixture(scope="module")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> tuple[bytes, Drawing]:
    content = export_dxf(make_job(tmp_path_factory.mktemp("dxf")))
    return content, read(content)


@pytest.mark.outside
def test_it_is_sound_and_in_millimetres(drawn: tuple[bytes, Drawing]) -> None:
    """Read back and audited with PyPI ``ezdxf``."""
    audit = drawn[1].audit()
    assert (audit.errors, audit.fixes) == ([], [])
    assert drawn[1].header["$INSUNITS"] == 4  # DXF reference: millimetres


@pytest.mark.outside
def test_cabinets_stand_where_they_hang_and_the_rear_is_mirrored(
    drawn: tuple[bytes, Drawing], tmp_path: Path
) -> None:
    """Read back and audited with PyPI ``ezdxf``."""
    wall = make_job(tmp_path).state.wall
    space = drawn[1].modelspace()
    for layer, mirrored in (("cabinets", False), ("cabinets-rear", True)):
        boxes = [
            list(item.get_points("xy"))
            for item in space
            if isinstance(item, LWPolyline) and item.dxf.layer == layer
        ]
        assert len(boxes) == len(wall.cabinets) == 72
        edge = min(x for box in boxes for x, _ in box)
        for box, cabinet in zip(boxes, wall.cabinets.values(), strict=True):
            left = min(x for x, _ in box) - edge
            seen = wall.width_mm - cabinet.x_mm - cabinet.width_mm if mirrored else cabinet.x_mm
            assert left == pytest.approx(seen)
            assert max(x for x, _ in box) - edge - left == pytest.approx(cabinet.width_mm)
            assert max(y for _, y in box) == pytest.approx(wall.height_mm - cabinet.y_mm)
    words = [text.dxf.text for text in space.query("TEXT")]
    assert sum("FRONT VIEW" in line for line in words) == 1
    assert sum("REAR VIEW" in line for line in words) == 1


@pytest.mark.outside
def test_every_layer_has_something_on_it(drawn: tuple[bytes, Drawing]) -> None:
    """Read back and audited with PyPI ``ezdxf``."""
    space = drawn[1].modelspace()
    used = {item.dxf.layer for item in space}
    assert used == {name + rear for name in LAYERS for rear in ("", "-rear")}


def test_the_same_design_gives_the_same_bytes(drawn: tuple[bytes, Drawing], tmp_path: Path) -> None:
    assert export_dxf(make_job(tmp_path)) == drawn[0]


@pytest.mark.outside
@pytest.mark.parametrize(
    ("typed", "read_as"),
    [
        (HOSTILE, HOSTILE),
        ("%%d%%u%%%", "% %d% %u% % %"),
        ("^J^M", "^J^M"),
        ("\\U+0041\\P{\\fArial;x}", "\\ U+0041\\P{\\fArial;x}"),
        ("שלום 漢", "שלום 漢"),
    ],
)
def test_what_was_typed_is_text(tmp_path: Path, typed: str, read_as: str) -> None:
    """Read back and audited with PyPI ``ezdxf``."""
    changes = [('"LP1-1-L1"', f'"""{typed.replace(chr(92), chr(92) * 2)}"""')]
    drawing = read(export_dxf(make_job(tmp_path, changes=changes)))
    audit = drawing.audit()
    assert (audit.errors, audit.fixes) == ([], [])
    texts = [t for t in drawing.modelspace() if isinstance(t, Text) and t.dxf.layer == "circuits"]
    assert read_as in {text.plain_text() for text in texts}


def test_lines_and_what_cannot_be_seen_are_told() -> None:
    assert dxf_text("0\nSECTION\n2\u200b") == "0 SECTION 2[U+200B]"
    assert len(dxf_text("x" * 10_000)) == 250
