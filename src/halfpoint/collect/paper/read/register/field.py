"""How a page is bent: a smooth displacement over the frame, fitted to matches."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.print.layout import FRAME_HEIGHT, FRAME_WIDTH
from halfpoint.collect.paper.read.middle import median
from halfpoint.collect.paper.read.register.matching import Match

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Field:
    """Displacement of the frame, in millimetres: a polynomial of `degrees` in x and y."""

    degrees: tuple[int, int] = (0, 0)
    weights: Array = field(default_factory=lambda: np.zeros((1, 2)))

    def at(self, places: Array) -> Array:
        """The displacement at places on the frame; (n, 2) millimetres in and out."""
        return _basis(places, self.degrees) @ self.weights

    def over(self, x: Array, y: Array) -> Array:
        """The displacement at every pair of x and y; (rows, columns, 2) for (columns,), (rows,)."""
        across, down = _chebyshev(x, y, self.degrees)
        grid = np.zeros((self.degrees[0] + 1, self.degrees[1] + 1, 2))
        for (i, j), weight in zip(_terms(self.degrees), self.weights, strict=True):
            grid[i, j] = weight
        return np.stack([down @ grid[..., axis].T @ across.T for axis in (0, 1)], axis=-1)


@dataclass(frozen=True, slots=True)
class Fitted:
    """A field, and what is left of each match: (n, 2) millimetres, and its weight 0 to 1."""

    field: Field
    left: Array
    weight: Array


# Huber's constant in units of the spread, and by how much each degree above 1 is held back.
_HUBER, _ROUNDS = 1.5, 6
_STIFF = 0.02
_LEAST_SPREAD = 0.03


def fit_field(matches: Sequence[Match], degrees: tuple[int, int]) -> Fitted:
    """The smooth field that fits most of the matches, by iterated weighted least squares.

    Matches that disagree with their neighbours count less (Huber's weights; P. J. Huber,
    Robust Statistics, 1981), and higher degrees are held back by a small ridge.

    Args:
        matches: patches found, each with its shift; weighted by likeness squared.
        degrees: of the polynomial in x and in y.
    """
    places = np.array([(match.x, match.y) for match in matches])
    shifts = np.array([(match.shift_x, match.shift_y) for match in matches])
    trust = np.array([max(match.likeness, 0.05) ** 2 for match in matches])
    basis = _basis(places, degrees)
    stiff = _STIFF * len(matches) * np.diag(_stiffness(degrees))
    weight = np.ones(len(matches))
    for _ in range(_ROUNDS):
        scaled = basis * (weight * trust)[:, None]
        coefficients = np.linalg.solve(scaled.T @ basis + stiff, scaled.T @ shifts)
        left = shifts - basis @ coefficients
        distance = np.hypot(*left.T)
        spread = max(1.4826 * median(distance) / 1.18, _LEAST_SPREAD)
        weight = np.minimum(1.0, _HUBER * spread / np.maximum(distance, 1e-9))
    return Fitted(Field(degrees, coefficients), left, weight)


def _basis(places: Array, degrees: tuple[int, int]) -> Array:
    """Products of Chebyshev polynomials over the frame, total degree bounded; (n, terms)."""
    across, down = _chebyshev(places[:, 0], places[:, 1], degrees)
    return np.stack([across[:, i] * down[:, j] for i, j in _terms(degrees)], axis=1)


def _chebyshev(x: Array, y: Array, degrees: tuple[int, int]) -> tuple[Array, Array]:
    across = np.polynomial.chebyshev.chebvander(2 * x / FRAME_WIDTH - 1, degrees[0])
    down = np.polynomial.chebyshev.chebvander(2 * y / FRAME_HEIGHT - 1, degrees[1])
    return np.asarray(across, float), np.asarray(down, float)


def _terms(degrees: tuple[int, int]) -> list[tuple[int, int]]:
    most = max(degrees)
    return [
        (i, j)
        for i in range(degrees[0] + 1)
        for j in range(degrees[1] + 1)
        if i + j <= max(most, 1)
    ]


def _stiffness(degrees: tuple[int, int]) -> Array:
    # A little on every term keeps the fit determined where matches lie in a line.
    return np.array([1e-4 if i + j <= 1 else (i + j - 1) / 50 for i, j in _terms(degrees)])
