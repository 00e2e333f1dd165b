"""The four corner markers in a picture of a page."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.print.layout import Layout

Pixels = NDArray[np.uint8]
Points = NDArray[np.float64]
# Markers are looked for in a copy at most this long, six pixels to a cell of a marker on scanned
# A4, with one window of the threshold; then in finer ones, with two.
_LONG_SIDE = 1200
_FINER = (1200, 1800, 2600, 3600)
_WINDOW, _WINDOWS = (25,), (15, 45)
# The way around a marker, as a share of the picture's long side: in the first copy bubbles are too
# small for one, so that their outlines cost nothing.
_AROUND, _AROUND_FINER = 0.05, 0.03
# A marker is so many cells wide; its corners are refined within this share of one.
_CELLS, _NEAR = 6, 0.5
_UNTIL = (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_COUNT, 30, 0.02)
# A page with less of the picture than this may have another beside it, so that a copy of this
# size is searched too.
_SHARE, _ENOUGH = 0.42, 1800


@dataclass(frozen=True, slots=True)
class Seen:
    """One marker: its number, and its corners in pixels, clockwise from its own top left."""

    marker: int
    corners: Points


@dataclass(frozen=True, slots=True)
class Markers:
    """What was seen of the markers of one page. `twice` are numbers seen more than once."""

    seen: tuple[Seen, ...]
    twice: tuple[int, ...]


def find_markers(picture: Pixels) -> Markers:
    """The markers 0 to 3 in a grey picture, whichever way up it is.

    A copy of a moderate size is searched first, finer ones only when fewer than four are found.
    """
    best = _in_copy(picture, _halved(picture), _WINDOW)
    if best.twice or (len(best.seen) >= 4 and _fills(best, picture)):
        return best
    long_side = max(picture.shape)
    for size in _FINER:
        found = _in_copy(picture, _copy(picture, min(1.0, size / long_side)), _WINDOWS)
        if len(found.seen) > len(best.seen) or found.twice:
            best = found
        if best.twice or size >= long_side or (len(best.seen) >= 4 and _fills(best, picture)):
            break
        if size >= _ENOUGH and len(best.seen) >= 4:
            break
    return best


def _fills(markers: Markers, picture: Pixels) -> bool:
    """Whether the page is so large in the picture that a second one could not hide beside it."""
    corners = np.concatenate([seen.corners for seen in markers.seen]).astype(np.float32)
    area = float(cv2.contourArea(cv2.convexHull(corners)))
    return bool(area > _SHARE * picture.shape[0] * picture.shape[1])


def corner_pairs(markers: Markers, layout: Layout) -> tuple[Points, Points]:
    """Corners of the markers seen, on the frame (mm) and in the picture (pixels); (n, 2) each."""
    frame, picture = [], []
    for seen in markers.seen:
        area = layout.fiducials[seen.marker].area
        frame += [
            (area.left, area.top), (area.right, area.top),
            (area.right, area.bottom), (area.left, area.bottom),
        ]  # fmt: skip
        picture += [tuple(corner) for corner in seen.corners]
    return np.array(frame, float).reshape(-1, 2), np.array(picture, float).reshape(-1, 2)


def _halved(picture: Pixels) -> Pixels:
    """Halved until it is small enough, which is far quicker than the mean over any other share."""
    while max(picture.shape) > _LONG_SIDE and min(picture.shape) > 1:
        height, width = (side // 2 for side in picture.shape)
        half = cv2.resize(picture, (width, height), interpolation=cv2.INTER_LINEAR)
        picture = np.asarray(half, np.uint8)
    return picture


def _copy(picture: Pixels, factor: float) -> Pixels:
    if factor >= 1:
        return picture
    height, width = (max(1, round(side * factor)) for side in picture.shape)
    return np.asarray(cv2.resize(picture, (width, height), interpolation=cv2.INTER_AREA), np.uint8)


def _in_copy(picture: Pixels, copy: Pixels, windows: tuple[int, ...]) -> Markers:
    corners, numbers, _ = _detector(windows).detectMarkers(copy)
    if numbers is None:
        return Markers((), ())
    # Sides are rounded to whole pixels, so that both are not made smaller by quite the same.
    larger = np.array(picture.shape[::-1]) / np.array(copy.shape[::-1])
    seen = [
        Seen(int(number), _refined(picture, (corner.reshape(4, 2) + 0.5) * larger - 0.5))
        for number, corner in zip(numbers.ravel(), corners, strict=True)
        if 0 <= number <= 3
    ]
    count = Counter(each.marker for each in seen)
    twice = tuple(sorted(number for number, times in count.items() if times > 1))
    return Markers(tuple(seen), twice)


def _refined(picture: Pixels, corners: Points) -> Points:
    """Corners where they lie in the picture itself, looked for within half a cell of the marker."""
    side = float(np.hypot(*(corners - np.roll(corners, 1, axis=0)).T).min())
    window = max(2, round(side / _CELLS * _NEAR))
    found = cv2.cornerSubPix(
        picture, corners.astype(np.float32), (window, window), (-1, -1), _UNTIL
    )
    return np.asarray(found, float)


@cache
def _detector(windows: tuple[int, ...]) -> cv2.aruco.ArucoDetector:
    parameters = cv2.aruco.DetectorParameters()
    parameters.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    parameters.adaptiveThreshWinSizeMin = windows[0]
    parameters.adaptiveThreshWinSizeMax = windows[-1]
    parameters.adaptiveThreshWinSizeStep = max(windows[-1] - windows[0], 1)
    parameters.minMarkerPerimeterRate = _AROUND if windows == _WINDOW else _AROUND_FINER
    parameters.maxMarkerPerimeterRate = 1.0
    parameters.errorCorrectionRate = 0.0
    return cv2.aruco.ArucoDetector(
        cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50), parameters
    )
