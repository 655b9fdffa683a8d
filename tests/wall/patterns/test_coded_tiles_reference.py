"""The square marks against OpenCV's predefined dictionary DICT_5X5_1000, and its own detector."""

from __future__ import annotations

import numpy as np
import pytest

from commission_tui.wall.model.location import Cell
from commission_tui.wall.patterns.coded_tiles import coded_marks, mark_bits
from commission_tui.wall.patterns.pattern_files import picture
from tests.photo.walls_hung import small_wall


@pytest.mark.outside
def test_marks_are_those_of_the_published_dictionary() -> None:
    """Reference: OpenCV. Every mark of its DICT_5X5_1000 is there once, bit for bit."""
    aruco = pytest.importorskip("cv2").aruco
    known = aruco.getPredefinedDictionary(aruco.DICT_5X5_1000)
    published = set()
    for row in range(len(known.bytesList)):
        bits = aruco.Dictionary.getBitsFromByteList(known.bytesList[row : row + 1], 5)
        published.add(int("".join(map(str, bits.ravel())), 2))
    assert sorted(mark_bits()) == sorted(published)


@pytest.mark.outside
def test_another_detector_reads_the_pattern() -> None:
    """Reference: OpenCV. Its own detector finds every mark of the drawn pattern, upright."""
    cv2 = pytest.importorskip("cv2")
    wall = small_wall(4, 3, px=128)
    drawn = np.asarray(picture(wall, "coded tiles").convert("L"))
    known = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_1000)
    corners, numbers, _ = cv2.aruco.ArucoDetector(known).detectMarkers(drawn)
    assert len(numbers) == 12
    for quad, number in zip(corners, numbers.ravel(), strict=True):
        x, y = quad[0][0]
        cell = Cell(int(y // 128) + 1, int(x // 128) + 1)
        bits = cv2.aruco.Dictionary.getBitsFromByteList(known.bytesList[number : number + 1], 5)
        ours = mark_bits()[coded_marks(wall)[cell][0].number]
        assert ours == int("".join(map(str, bits.ravel())), 2)
