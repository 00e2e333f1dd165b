"""Words beside points, placed so that as few as can be stand on one another."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

_TURNS = tuple(k * math.pi / 4 for k in (0, 4, 6, 2, 7, 1, 5, 3))
_REACHES = (11.0, 20.0, 32.0, 46.0)

Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Label:
    """A word, the point it belongs to, and where its middle is put."""

    text: str
    point: tuple[float, float]
    middle: tuple[float, float]
    reach: float


def place_labels(
    names: Sequence[tuple[str, float, float]],
    size: float,
    within: Box,
    taken: list[Box],
) -> list[Label]:
    """Labels in turn, each where it covers least of what is `taken` (which grows by them).

    Args:
        names: text and point of each, in pixels.
        size: of the letters.
        within: left, top, right and bottom that no label should leave.
        taken: boxes already drawn in.
    """
    made = []
    for text, x, y in names:
        spots = list(_spots(text, x, y, size))
        costs = [_cost(box, reach, within, taken) for _, box, reach in spots]
        middle, box, reach = spots[costs.index(min(costs))]
        taken.append(box)
        made.append(Label(text, (x, y), middle, reach))
    return made


def box_of(text: str, x: float, y: float, size: float) -> Box:
    """The box of a word about its middle."""
    half = len(text) * size * 0.28 + 2
    return x - half, y - size * 0.62, x + half, y + size * 0.62


def _spots(
    text: str, x: float, y: float, size: float
) -> Iterator[tuple[tuple[float, float], Box, float]]:
    half = len(text) * size * 0.28
    for reach in _REACHES:
        for turn in _TURNS:
            right, down = math.cos(turn), math.sin(turn)
            middle = (x + right * (reach + half), y + down * (reach + size * 0.3))
            yield middle, box_of(text, *middle, size), reach


def _cost(box: Box, reach: float, within: Box, taken: Sequence[Box]) -> float:
    outside = max(0.0, within[0] - box[0], box[2] - within[2]) + max(
        0.0, within[1] - box[1], box[3] - within[3]
    )
    return reach * 0.6 + 60 * outside + sum(_shared(box, other) for other in taken)


def _shared(a: Box, b: Box) -> float:
    across = min(a[2], b[2]) - max(a[0], b[0])
    down = min(a[3], b[3]) - max(a[1], b[1])
    return across * down if across > 0 and down > 0 else 0.0
