"""Habits over the years: statsmodels' Kalman filter, and sums by hand."""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest
from scipy.stats import multivariate_normal
from statsmodels.tsa.statespace.kalman_filter import KalmanFilter

from halfpoint.teach.habits import Figure, Normal, _likelihood, ahead, share_kept, updated


def drawn(year: float, alone: float, error: float, mean: float, sd: float) -> Figure:
    """A figure as a result has it: what the marks say, drawn towards a panel."""
    precision = 1.0 / error**2 + 1.0 / sd**2
    value = (alone / error**2 + mean / sd**2) / precision
    return Figure(year, value, 1.0 / sqrt(precision), mean, sd)


@pytest.mark.parametrize('kept', [0.0, 0.5, 0.8, 0.99])
def test_years_are_filtered_as_statsmodels_does(kept: float) -> None:
    """An autoregression seen with errors that differ from year to year, a step ahead."""
    sd, alone, errors = 1.3, [1.1, 0.4, 1.9, -0.3], [0.5, 0.9, 0.4, 0.7]
    model = KalmanFilter(k_endog=1, k_states=1)
    model['design', 0, 0] = 1.0
    model['transition', 0, 0] = kept
    model['selection', 0, 0] = 1.0
    model['state_cov', 0, 0] = (1.0 - kept**2) * sd**2
    model.bind(np.array(alone)[:, None])
    model['obs_cov'] = np.square(errors)[None, None, :]
    model.initialize_known(np.zeros(1), np.array([[sd**2]]))
    reference = model.filter()
    figures = [
        drawn(float(at), value, error, 0.0, sd)
        for at, (value, error) in enumerate(zip(alone, errors, strict=True))
    ]
    made = ahead(figures, 4.0, Normal(0.0, sd), kept)
    assert reference.predicted_state[0, -1] == pytest.approx(made.mean, abs=1e-9)
    assert sqrt(reference.predicted_state_cov[0, 0, -1]) == pytest.approx(made.sd)


def test_a_figure_drawn_towards_the_panel_is_itself_when_the_panel_is_expected() -> None:
    """Taking the panel out and putting it in again changes nothing."""
    figure = drawn(0.0, 2.0, 0.6, 0.0, 1.0)
    now = updated(Normal(0.0, 1.0), figure)
    assert (figure.value, figure.se) == pytest.approx((now.mean, now.sd))


def test_by_hand_one_year_on() -> None:
    """1.5 with variance 0.36 about 0 ± 1, 0.8 of it kept: 1.2, and 0.64·0.36 + 0.36 = 0.5904."""
    made = ahead([Figure(2025.0, 1.5, 0.6, 0.0, 1.0)], 2026.0, Normal(0.0, 1.0), 0.8)
    assert (1.2, sqrt(0.5904)) == pytest.approx((made.mean, made.sd))


def test_what_is_long_ago_is_forgotten() -> None:
    """After thirty years the panel stands in again."""
    made = ahead([Figure(1990.0, 3.0, 0.2, 0.0, 1.0)], 2020.0, Normal(0.1, 1.2), 0.8)
    assert (0.1, 1.2) == pytest.approx((made.mean, made.sd), abs=0.01)


def test_marks_that_say_nothing_leave_what_was_expected() -> None:
    """A figure as unsure as the panel itself changes nothing; nothing known is the panel."""
    expected = Normal(0.7, 0.4)
    assert expected == updated(expected, Figure(0.0, 0.0, 1.0, 0.0, 1.0))
    assert Normal(0.0, 1.0) == ahead([], 2026.0, Normal(0.0, 1.0), 0.8)


@pytest.mark.parametrize('kept', [0.1, 0.6, 0.9])
def test_how_much_is_kept_is_found_from_who_came_again(kept: float) -> None:
    """Of 400 simulated members over three years, within 0.1; of nobody, what is expected."""
    rng = np.random.default_rng(6)
    members = []
    for _ in range(400):
        habit, figures = rng.normal(), []
        for year in range(3):
            habit = kept * habit + sqrt(1.0 - kept**2) * rng.normal() if year else habit
            figures.append(drawn(float(year), habit + 0.5 * rng.normal(), 0.5, 0.0, 1.0))
        members.append(figures)
    assert kept == pytest.approx(share_kept(members), abs=0.1)
    assert 0.8 == pytest.approx(share_kept([]), abs=0.01)
    assert 0.8 == pytest.approx(share_kept([figures[:1] for figures in members]), abs=0.01)


def test_the_likelihood_is_that_of_the_normal_distribution_of_all_years() -> None:
    """Step by step as for three years at once, SciPy's multivariate normal, to a constant."""
    sd, kept, errors, alone = 1.2, 0.7, [0.5, 0.8, 0.6], [1.0, -0.4, 0.9]
    figures = [
        drawn(float(at), value, error, 0.0, sd)
        for at, (value, error) in enumerate(zip(alone, errors, strict=True))
    ]
    gaps = np.abs(np.subtract.outer(np.arange(3), np.arange(3)))
    covariance = sd**2 * kept**gaps + np.diag(np.square(errors))
    expected = multivariate_normal.logpdf(alone, np.zeros(3), covariance)
    assert expected + 1.5 * np.log(2.0 * np.pi) == pytest.approx(_likelihood(figures, kept))
