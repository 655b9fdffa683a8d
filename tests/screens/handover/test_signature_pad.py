"""A signature's strokes as characters, without a screen."""

from __future__ import annotations

from commission_tui.screens.handover.signature_pad import BOX, MOST_STROKES, Drawing, rows

ACROSS = (((0, 0), (BOX, BOX)),)


def test_a_stroke_from_corner_to_corner_passes_every_row() -> None:
    drawn = rows(ACROSS, 4, 4)
    assert all(drawn[n][n] != " " for n in range(4))
    assert drawn[0][3] == drawn[3][0] == " "


def test_a_dot_is_one_dot() -> None:
    """Dot 1 of Unicode's Braille patterns (U+2800 to U+28FF) is the upper left one: U+2801."""
    assert rows((((0, 0),),), 2, 1) == ["\u2801 "]
    assert rows((((BOX, BOX),),), 2, 1) == [" \u2880"]


def test_outside_the_pad_is_its_edge() -> None:
    drawing = Drawing()
    drawing.begin(-1.0, 2.0)
    drawing.go_on(0.5, 0.5)
    drawing.go_on(0.5, 0.5)
    assert drawing.done() == (((0, BOX), (5000, 5000)),)


def test_undo_clear_and_nothing() -> None:
    drawing = Drawing()
    drawing.go_on(0.5, 0.5)
    drawing.undo()
    assert drawing.done() == ()
    for _ in range(MOST_STROKES + 5):
        drawing.begin(0.1, 0.1)
    assert len(drawing.strokes) == MOST_STROKES
    drawing.clear()
    assert drawing.done() == ()
