"""The corner markers are those of OpenCV."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from halfpoint.collect.paper.print.fiducials import CELLS, PATTERNS, cells_of


@pytest.mark.parametrize('marker', PATTERNS)
def test_patterns_are_those_of_the_predefined_dictionary(marker: int) -> None:
    """Cell by cell as OpenCV (opencv-python-headless) draws DICT_4X4_50."""
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    theirs = dictionary.generateImageMarker(marker, CELLS) == 0
    assert theirs.tolist() == np.array(cells_of(marker)).tolist()
