"""What a source says of one data set, and how closely halfpoint has to agree with it.

Tolerances, one a quantity, with the reason:

    CRITERION   relative; figures have 8 digits and more
    VARIANCE    relative; the optimum is flat, so variances carry half the criterion's digits
    MEAN        relative; means do not move, to first order, with the variances
    ERROR       relative, of standard errors
    FREEDOM     relative, of Satterthwaite degrees of freedom: both sides differentiate
                numerically
    CHANCE      relative, of single p values: they inherit the error of the freedom
    INTERVAL    relative, of profile-likelihood limits: both sides search for them
    CRITICAL    absolute, of the critical |t| of all pairs: drawn (4 standard errors of the
                95 % quantile, whose density is about 0.13)

Most agree far better: criterion 1e-10, means 1e-9, variances 1e-7 (once 1e-6).

Adjusted p values are drawn too: `drawn(p)` gives 4 standard errors of a share of the draws.
The 100,000 draws come in pairs of opposite sign, which have the same largest |t|, so 50,000
of them count.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import pytest

from halfpoint.estimate.findings import MarkFindings

CRITERION = 1e-6
VARIANCE = 1e-5
MEAN = 1e-7
ERROR = 1e-6
FREEDOM = 1e-3
CHANCE = 2e-3
INTERVAL = 2e-3
CRITICAL = 0.03
DRAWS = 50_000


def drawn(p: float) -> float:
    """Absolute tolerance of a chance `p` estimated from `DRAWS` draws."""
    return 4.0 * float((p * (1.0 - p) / DRAWS) ** 0.5) + 2e-5


@dataclass(frozen=True, slots=True)
class Mean:
    """An adjusted mean, its standard error and degrees of freedom."""

    mean: float
    se: float
    df: float | None = None


@dataclass(frozen=True, slots=True)
class Pair:
    """A difference: p alone, adjusted over all pairs, critical |t| of joint intervals."""

    difference: float
    se: float
    df: float
    p: float
    p_adjusted: float
    critical: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """Frozen figures of one fit. Interval limits are those of the REML profile."""

    source: str
    criterion: float
    variances: dict[str, float]
    intervals: dict[str, tuple[float, float]] = field(default_factory=dict)
    means: dict[str, Mean] = field(default_factory=dict)
    shrunken: dict[str, float] = field(default_factory=dict)
    pairs: dict[tuple[str, str], Pair] = field(default_factory=dict)
    wine_test: tuple[float, float, float, float] | None = None


def check_criterion(record: Record, found: MarkFindings) -> None:
    """The REML criterion at the optimum."""
    assert pytest.approx(record.criterion, rel=CRITERION) == found.criterion


def check_variances(record: Record, found: MarkFindings) -> None:
    """Every component, and no other."""
    actual = {name: component.variance for name, component in found.components.items()}
    assert pytest.approx(record.variances, rel=VARIANCE, abs=1e-12) == actual


def check_intervals(record: Record, found: MarkFindings) -> None:
    """Profile-likelihood limits of every component."""
    lows = {name: low for name, (low, _) in record.intervals.items()}
    highs = {name: high for name, (_, high) in record.intervals.items()}
    components = found.components
    assert pytest.approx(lows, rel=INTERVAL, abs=1e-12) == {n: components[n].low for n in lows}
    assert pytest.approx(highs, rel=INTERVAL) == {n: components[n].high for n in highs}


def check_means(record: Record, found: MarkFindings) -> None:
    """Adjusted means, standard errors and degrees of freedom of every wine."""
    wines = {wine.wine: wine for wine in found.wines}
    assert sorted(record.means) == sorted(wines)
    for name, expected in record.means.items():
        assert pytest.approx(expected.mean, rel=MEAN) == wines[name].adjusted
        assert pytest.approx(expected.se, rel=ERROR) == wines[name].se
        if expected.df is not None:
            assert pytest.approx(expected.df, rel=FREEDOM) == wines[name].df


def check_shrunken(record: Record, found: MarkFindings) -> None:
    """Scores of wines taken as random."""
    actual = {wine.wine: wine.shrunken for wine in found.wines}
    assert pytest.approx(record.shrunken, rel=1e-6) == actual


def check_pairs(record: Record, found: MarkFindings) -> None:
    """Every pair: difference, uncertainty, p alone and over all pairs, joint interval."""
    pairs = {(pair.a, pair.b): pair for pair in found.pairs}
    assert sorted(record.pairs) == sorted(pairs)
    for names, expected in record.pairs.items():
        pair = pairs[names]
        assert pytest.approx(expected.difference, rel=MEAN, abs=MEAN) == pair.difference
        assert pytest.approx(expected.se, rel=ERROR) == pair.se
        assert pytest.approx(expected.df, rel=FREEDOM) == pair.df
        assert pytest.approx(expected.p, rel=CHANCE) == pair.p
        tolerance = drawn(expected.p_adjusted)
        assert pytest.approx(expected.p_adjusted, abs=tolerance) == pair.p_adjusted
        critical = (pair.high - pair.difference) / pair.se
        assert pytest.approx(expected.critical, abs=CRITICAL) == critical
        assert pytest.approx(pair.high - pair.difference) == pair.difference - pair.low


def check_wine_test(record: Record, found: MarkFindings) -> None:
    """F test that all wines are alike: F, its two degrees of freedom, p."""
    assert record.wine_test is not None
    assert found.wine_test is not None
    f, above, below, p = record.wine_test
    test = found.wine_test
    assert pytest.approx(f, rel=1e-6) == test.f
    assert above == test.num_df
    assert pytest.approx(below, rel=FREEDOM) == test.den_df
    assert pytest.approx(p, rel=CHANCE) == test.p
