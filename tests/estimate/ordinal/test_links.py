"""The probability of a step and its derivatives."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import expit, ndtr

from halfpoint.estimate.ordinal.links import Cells, Cuts, Link, cells, make_cuts

LINKS: tuple[Link, ...] = ('logit', 'probit')
FUNCTION = {'logit': expit, 'probit': ndtr}
STEP = 1e-5

thresholds = st.lists(st.floats(0.05, 3.0), min_size=1, max_size=6).map(
    lambda gaps: np.cumsum(gaps) - sum(gaps) / 2.0
)


def moved(cuts: Cuts, upper: float, lower: float) -> Cuts:
    """The same with both limits moved."""
    high, low = cuts.upper + upper, cuts.lower + lower
    gap = np.minimum(high - low, 700.0)
    return Cuts(high, low, 1.0 / np.expm1(gap), np.log(-np.expm1(-gap)))


def slope_of(link: Link, cuts: Cuts, eta: np.ndarray, what: str, upper: bool) -> np.ndarray:
    """Central difference of a part by one limit."""
    move = (STEP, 0.0) if upper else (0.0, STEP)
    ahead = cells(link, moved(cuts, *move), eta, 3)
    behind = cells(link, moved(cuts, -move[0], -move[1]), eta, 3)
    return (getattr(ahead, what) - getattr(behind, what)) / (2.0 * STEP)


@pytest.mark.parametrize('link', LINKS)
@given(cuts=thresholds, eta=st.floats(-4.0, 4.0))
def test_steps_share_all_probability(link: Link, cuts: np.ndarray, eta: float) -> None:
    """The probabilities of all steps are differences of the link's function and sum to one."""
    step = np.arange(cuts.size + 1)
    found = np.exp(cells(link, make_cuts(cuts, step), np.full(step.size, eta), 1).log_p)
    below = FUNCTION[link](np.concatenate([[-np.inf], cuts, [np.inf]]) - eta)
    assert pytest.approx(np.diff(below), abs=1e-12) == found
    assert pytest.approx(1.0, abs=1e-12) == found.sum()


PARTS: dict[str, Callable[[Cells], np.ndarray]] = {
    'log_p': lambda at: np.array([at.a, at.b]),
    'slope': lambda at: np.array([at.ea, at.eb]),
    'weight': lambda at: np.array([at.wa, at.wb]),
}


@pytest.mark.parametrize('part', PARTS)
@pytest.mark.parametrize('link', LINKS)
@given(cuts=thresholds, eta=st.floats(-3.0, 3.0))
def test_derivatives_are_those_of_differences(
    link: Link, part: str, cuts: np.ndarray, eta: float
) -> None:
    """First, second and third derivatives by both limits agree with central differences."""
    step = np.arange(cuts.size + 1)
    limits, place = make_cuts(cuts, step), np.full(step.size, eta)
    expected = [slope_of(link, limits, place, part, upper) for upper in (True, False)]
    actual = PARTS[part](cells(link, limits, place, 3))
    assert pytest.approx(np.array(expected), rel=1e-5, abs=1e-6) == actual


@pytest.mark.parametrize('link', LINKS)
@given(cuts=thresholds, eta=st.floats(-3.0, 3.0))
def test_derivative_by_both_limits(link: Link, cuts: np.ndarray, eta: float) -> None:
    """The mixed derivative by upper and lower limit agrees with central differences."""
    step = np.arange(cuts.size + 1)
    limits, place = make_cuts(cuts, step), np.full(step.size, eta)
    expected = slope_of(link, limits, place, 'b', upper=True)
    actual = cells(link, limits, place, 2).ab
    assert pytest.approx(expected, rel=1e-5, abs=1e-6) == actual


@pytest.mark.parametrize('link', LINKS)
@pytest.mark.parametrize('eta', [-60.0, -38.5, 38.5, 60.0])
def test_far_tails_stay_finite(link: Link, eta: float) -> None:
    """Sixty units from the nearest threshold every derivative is a number, and W not negative."""
    step = np.arange(4)
    at = cells(link, make_cuts(np.array([-1.0, 0.0, 1.0]), step), np.full(4, eta), 3)
    parts = (at.log_p, at.a, at.b, at.ea, at.eb, at.ab, at.wa, at.wb)
    assert all(np.isfinite(part).all() for part in parts)
    assert (at.weight >= 0.0).all()
    assert (at.log_p <= 0.0).all()


def test_probit_tail_against_the_asymptotic_series() -> None:
    """log Φ(−40) is −x²/2 − log(x√(2π)) + log(1 − x⁻² + 3x⁻⁴) (Abramowitz and Stegun 26.2.12)."""
    x = 40.0
    series = np.log1p(-(x**-2) + 3.0 * x**-4 - 15.0 * x**-6)
    expected = -0.5 * x**2 - np.log(x * np.sqrt(2.0 * np.pi)) + series
    at = cells('probit', make_cuts(np.array([0.0]), np.array([0])), np.array([x]), 1)
    assert pytest.approx(expected, rel=1e-12) == at.log_p[0]
