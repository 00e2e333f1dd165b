"""Lines above and below the words of boxes: some people ring a word instead of ticking its box."""

from __future__ import annotations

from functools import lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.read.ink.targets import Targets
from halfpoint.collect.paper.read.middle import quantile
from halfpoint.collect.paper.read.scale import COARSE, MARGIN

Floats = NDArray[np.float32]
Array = NDArray[np.float64]
# A line around a word lies so far above or below its middle (mm); looked at in so many places
# along it, and a letter is about so wide.
_FROM, _TO, _STEPS, _PLACES, _LETTER = 1.4, 2.9, 7, 16, 1.35
# It is darker than what is usual there by so many spreads, and never by less than the second.
_SPREADS, _LEAST, _BLUR, _LEAST_SPREAD = 3.5, 0.025, 3, 0.001


def lines_at_words(above: Floats, targets: Targets) -> Array:
    """The share of each word with a line above it, and below; (boxes, 2).

    Args:
        above: darkness of the page above the print, `COARSE` pixels a millimetre.
        targets: of the page.
    """
    if not targets.boxes:
        return np.zeros((0, 2))
    blurred = np.asarray(cv2.blur(above, (_BLUR, _BLUR)), np.float32)
    # (two sides, boxes, places along the word)
    darkest = np.take(blurred, _places(targets, blurred.shape)).max(axis=3)
    usual = quantile(darkest.reshape(len(darkest), -1), 0.5)[:, None, None]
    away = np.abs(darkest - usual)
    spread = 1.4826 * quantile(away.reshape(len(away), -1), 0.5)[:, None, None]
    limit = usual + np.maximum(_SPREADS * np.maximum(spread, _LEAST_SPREAD), _LEAST)
    return np.asarray((darkest > limit).mean(axis=2).T, float)


@lru_cache(maxsize=8)
def _places(targets: Targets, shape: tuple[int, int]) -> NDArray[np.intp]:
    """Where to look at each word, as pixels of an image in one row.

    (two sides, boxes, places along the word, steps away from it)
    """
    areas = [box.label.area for _, box in targets.boxes]
    wide = [
        min(area.width, _LETTER * len(box.label.text) + 1)
        for area, (_, box) in zip(areas, targets.boxes, strict=True)
    ]
    left = np.array([area.left for area in areas])
    middle = np.array([area.top + area.height / 2 for area in areas])
    x = left[:, None] + np.array(wide)[:, None] * np.linspace(0, 1, _PLACES)
    away = np.linspace(_FROM, _TO, _STEPS)
    y = middle[:, None] + np.stack([-away, away])[:, None, :]
    columns, rows = (_pixel(at, size) for at, size in zip((x, y), shape[::-1], strict=True))
    return rows[:, :, None, :] * shape[1] + columns[None, :, :, None]


def _pixel(places: Array, size: int) -> NDArray[np.intp]:
    return np.clip(np.rint((places + MARGIN) * COARSE - 0.5), 0, size - 1).astype(np.intp)
