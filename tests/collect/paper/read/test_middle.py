"""Medians and quantiles, held to numpy's own."""

from __future__ import annotations

import numpy as np
import pytest

from halfpoint.collect.paper.read.middle import median, middle_of, quantile

SIZES = (1, 2, 3, 8, 9, 1999, 2000, 2501)


def drawn(*shape: int) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    """Some values, many of them alike."""
    return np.round(np.random.default_rng(5).normal(size=shape), 1)


@pytest.mark.parametrize('size', SIZES)
def test_the_median_is_numpys(size: int) -> None:
    """Of few and of many, an odd number or an even one."""
    assert np.median(drawn(size)) == pytest.approx(median(drawn(size)), abs=1e-12)


@pytest.mark.parametrize('share', [0.0, 0.1, 0.25, 0.35, 0.5, 0.9, 1.0])
@pytest.mark.parametrize('size', SIZES[:6])
def test_a_quantile_is_numpys(size: int, share: float) -> None:
    """Over the last axis, by a straight line between two values."""
    values = drawn(4, size)
    assert quantile(values, share) == pytest.approx(np.quantile(values, share, axis=1), abs=1e-12)


def test_the_middle_of_layers_is_numpys_median() -> None:
    """Over the first axis."""
    values = drawn(7, 3, 5).astype(np.float32)
    assert np.array_equal(np.median(values, axis=0), middle_of(values))
