"""The smooth bend fitted to matches, against NumPy and SciPy."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import least_squares

from halfpoint.collect.paper.print.layout import FRAME_HEIGHT, FRAME_WIDTH
from halfpoint.collect.paper.read.register.field import Field, fit_field
from halfpoint.collect.paper.read.register.local import left_over
from halfpoint.collect.paper.read.register.matching import Match
from halfpoint.collect.paper.read.register.placement import bend_of, nodes

Grid = NDArray[np.float64]
EDGES = np.array((FRAME_WIDTH, FRAME_HEIGHT))


def places(count: int, seed: int = 1) -> Grid:
    """Places all over the frame."""
    return np.asarray(np.random.default_rng(seed).uniform(0, 1, (count, 2)) * EDGES)


def powers(at: Grid, degrees: tuple[int, int]) -> Grid:
    """Plain powers of x and y up to a total degree; (n, terms)."""
    x, y = (2 * at / EDGES - 1).T
    terms = product(range(degrees[0] + 1), range(degrees[1] + 1))
    return np.stack([x**i * y**j for i, j in terms if i + j <= max(degrees)], axis=1)


def matches_of(at: Grid, shifts: Grid) -> list[Match]:
    """Matches of full likeness."""
    return [
        Match(float(x), float(y), float(dx), float(dy), 1.0)
        for (x, y), (dx, dy) in zip(at, shifts, strict=True)
    ]


def smooth(at: Grid, degrees: tuple[int, int]) -> Grid:
    """Some polynomial displacement of about a millimetre."""
    basis = powers(at, degrees)
    weights = np.random.default_rng(5).normal(0, 0.4, (basis.shape[1], 2))
    return np.asarray(basis @ weights)


@pytest.mark.parametrize('degrees', [(1, 1), (2, 3), (1, 3), (3, 6)])
def test_on_clean_data_it_is_the_least_squares_fit(degrees: tuple[int, int]) -> None:
    """`numpy.linalg.lstsq` on plain powers gives the same bend, to 0.1 mm inside the matches."""
    at = places(150)
    elsewhere = 0.05 * EDGES + 0.9 * places(200, seed=2)
    shifts = smooth(at, degrees)
    weights, *_ = np.linalg.lstsq(powers(at, degrees), shifts, rcond=None)
    fitted = fit_field(matches_of(at, shifts), degrees)
    expected = powers(elsewhere, degrees) @ weights
    assert np.abs(expected).max() > 0.5
    assert np.abs(expected - fitted.field.at(elsewhere)).max() < 0.1
    assert np.median(np.abs(fitted.left)) < 0.01


def test_with_wrong_matches_it_is_near_scipys_robust_fit() -> None:
    """One match in ten is a line off; SciPy's fit with Huber's loss agrees to 0.1 mm."""
    degrees, at = (2, 3), places(150)
    rng = np.random.default_rng(4)
    shifts = smooth(at, degrees) + rng.normal(0, 0.02, at.shape)
    shifts[::10, 1] += 6.0
    basis = powers(at, degrees)

    def left(weights: Grid) -> Grid:
        return np.asarray((basis @ weights.reshape(-1, 2) - shifts).ravel())

    start = np.zeros(2 * basis.shape[1])
    robust = least_squares(left, start, loss='huber', f_scale=0.045).x.reshape(-1, 2)
    fitted = fit_field(matches_of(at, shifts), degrees)
    elsewhere = places(200, seed=2)
    assert np.abs(powers(elsewhere, degrees) @ robust - fitted.field.at(elsewhere)).max() < 0.1
    assert fitted.weight[::10].max() < 0.1
    assert np.median(fitted.weight) > 0.5


def test_a_field_over_a_grid_is_the_field_at_its_places() -> None:
    """Both ways to tell a bend say the same."""
    field = Field((2, 3), np.random.default_rng(1).normal(0, 1, (9, 2)))
    at = nodes().reshape(-1, 2)
    assert np.abs(field.at(at) - bend_of(field).reshape(-1, 2)).max() < 1e-9


def test_no_field_is_no_displacement() -> None:
    """The empty field moves nothing."""
    assert np.abs(Field().at(places(9))).max() == 0


def test_what_is_left_over_is_a_kernel_mean() -> None:
    """E. A. Nadaraya (1964) and G. S. Watson (1964), with a still place of weight ½ added."""
    at = places(40)
    shifts = np.random.default_rng(8).normal(0, 0.3, at.shape)
    matches = matches_of(at, shifts)
    fitted = fit_field(matches, (1, 1))
    found = left_over(matches, fitted)
    for row, column in ((0, 0), (100, 60), (250, 190)):
        away = (nodes()[row, column] - at) / (16.0, 7.0)
        kernel = fitted.weight * np.exp(-(away**2).sum(axis=1) / 2)
        expected = (kernel[:, None] * fitted.left).sum(axis=0) / (kernel.sum() + 0.5)
        assert np.abs(expected - found[row, column]).max() < 1e-9
