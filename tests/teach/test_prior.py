"""What is carried from one session or year to the next."""

from __future__ import annotations

import pytest

from halfpoint.teach.prior import Estimate, carried, panel_prior

PANEL = panel_prior(0.9, 0.25, 1.1, 20.0)
SEVERITY = Estimate(1.5, 0.3, 0.9, 2.1)
SPREAD = Estimate(0.7, 0.1, 0.5, 0.9)
NOISE = Estimate(0.8, 0.08, 0.65, 0.97)


def test_kept_whole_it_is_what_was_found() -> None:
    """With all of it kept the prior is the estimate before."""
    got = carried(PANEL, SEVERITY, SPREAD, NOISE, 1.0)
    assert (1.5, 0.3, 0.7, 0.1, 0.8) == pytest.approx(
        (got.severity, got.severity_sd, got.spread, got.spread_sd, got.noise)
    )


def test_with_nothing_kept_it_is_the_panel() -> None:
    """With nothing kept the prior is the panel again."""
    got = carried(PANEL, SEVERITY, SPREAD, NOISE, 0.0)
    assert (0.0, 0.9, 1.0, 0.25, 1.1, 20.0) == pytest.approx(
        (got.severity, got.severity_sd, got.spread, got.spread_sd, got.noise, got.freedom)
    )


def test_between_it_is_an_autoregression() -> None:
    """By hand, a half kept: 0.75 and √(0.25·0.09 + 0.75·0.81) = 0.7937."""
    got = carried(PANEL, SEVERITY, SPREAD, NOISE, 0.5)
    assert (0.75, 0.7937) == pytest.approx((got.severity, got.severity_sd), abs=1e-4)
