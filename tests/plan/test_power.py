"""How sure differences will be, and how often they are told."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import ncfdtr, stdtrit
from scipy.stats import studentized_range

from halfpoint.demo.telling import simulate_telling
from halfpoint.plan.blocks import balanced_blocks
from halfpoint.plan.exchange import average_variance
from halfpoint.plan.power import (
    Question,
    critical_t,
    even_prospect,
    needed_sites,
    needed_tasters,
    numbers_around,
    plan_prospect,
    power_curve,
    power_of,
)
from halfpoint.plan.precision import (
    EvenSites,
    PlannedSite,
    Variances,
    even_precision,
    planned_precision,
)
from halfpoint.plan.studentised import studentised_quantile

VARIANCES = Variances(1.0, 0.1, 0.16, 2.25)
EVEN = EvenSites(12, 10, 8, 8)
BALANCED = [(7, 3), (13, 4), (11, 5), (9, 3), (6, 3)]


def complete(even: EvenSites) -> list[PlannedSite]:
    """Every wine at every site."""
    return [PlannedSite(even.tasters, tuple(range(even.wines)))] * even.sites


def blocks(wines: int, size: int, tasters: int) -> list[PlannedSite]:
    """Balanced incomplete blocks as sites."""
    found = balanced_blocks(wines, size)
    assert found is not None
    return [PlannedSite(tasters, tuple(block)) for block in found.tolist()]


def dense(
    sites: list[PlannedSite], wines: int, variances: Variances
) -> tuple[np.ndarray, np.ndarray]:
    """Variance and df of all pairs with every matrix written out, mark by mark."""
    rows = [
        (s, t, w) for s, site in enumerate(sites) for t in range(site.tasters) for w in site.pours
    ]
    site, taster, wine = (np.array(column) for column in zip(*rows, strict=True))
    seat = site * 1000 + taster
    same = [
        (seat[:, None] == seat).astype(float),
        (site[:, None] == site).astype(float),
        ((site * 1000 + wine)[:, None] == site * 1000 + wine).astype(float),
        np.eye(site.size),
    ]
    sizes = [variances.taster, variances.site, variances.bottle, variances.residual]
    v = sum(size * part for size, part in zip(sizes, same, strict=True))
    x = np.eye(wines)[wine]
    v_inverse = np.linalg.inv(v)
    c = np.linalg.inv(x.T @ v_inverse @ x)
    p = v_inverse - v_inverse @ x @ c @ x.T @ v_inverse
    information = 0.5 * np.array([[np.trace(p @ a @ p @ b) for b in same] for a in same])
    first, second = np.triu_indices(wines, 1)
    contrast = np.eye(wines)[first] - np.eye(wines)[second]
    reach = contrast @ c @ x.T @ v_inverse
    variance = np.einsum('mi,ij,mj->m', contrast, c, contrast)
    slopes = np.array([np.einsum('mi,ij,mj->m', reach, part, reach) for part in same])
    spread = np.einsum('km,kl,lm->m', slopes, np.linalg.inv(information), slopes)
    return variance, 2 * variance**2 / spread


@given(
    st.integers(2, 30),
    st.integers(1, 20),
    st.integers(2, 12),
    st.floats(0.01, 4),
    st.floats(0.1, 9),
)
@settings(max_examples=50)
def test_complete_tastings_have_the_closed_form(
    sites: int, tasters: int, wines: int, bottle: float, residual: float
) -> None:
    """Variance 2(σ²bottle/S + σ²/(SN)) and the analysis of variance's (S − 1)(v − 1)."""
    even = EvenSites(sites, tasters, wines, wines)
    variances = Variances(1.0, 0.1, bottle, residual)
    variance, df = even_precision(even, variances)
    assert variance == pytest.approx(2 * (bottle / sites + residual / (sites * tasters)))
    assert df == pytest.approx((sites - 1) * (wines - 1), rel=1e-6)


@pytest.mark.parametrize('even', [EVEN, EvenSites(3, 1, 4, 4), EvenSites(2, 5, 2, 2)])
def test_the_general_form_equals_the_complete_form(even: EvenSites) -> None:
    """Site by site or as like sites, a complete tasting is the same for every pair."""
    found = planned_precision(complete(even), even.wines, VARIANCES)
    variance, df = even_precision(even, VARIANCES)
    assert found.variance == pytest.approx(variance)
    assert found.df == pytest.approx(df, rel=1e-6)


def test_without_bottles_tasters_are_the_error() -> None:
    """With no bottle variance, the residual's (SN − 1)(v − 1) degrees of freedom."""
    variance, df = even_precision(EVEN, replace(VARIANCES, bottle=0.0))
    assert variance == pytest.approx(2 * 2.25 / 120)
    assert df == pytest.approx(119 * 7)


@pytest.mark.parametrize(('wines', 'size'), BALANCED)
def test_balanced_blocks_have_the_variance_of_theory(wines: int, size: int) -> None:
    """2kd/(λv) within sites alone (Cochran and Cox 1957, chapter 11), d one mean's variance."""
    sites = blocks(wines, size, 10)
    together = len(sites) * size * (size - 1) / (wines * (wines - 1))
    far_apart = Variances(1e4, 1e4, 0.16, 2.25)
    found = planned_precision(sites, wines, far_apart)
    expected = 2 * size * (0.16 + 0.225) / (together * wines)
    assert found.variance == pytest.approx(expected, rel=1e-4)
    assert found.df == pytest.approx(len(sites) * (size - 1) - (wines - 1), rel=1e-4)
    poured = np.array([[w in site.pours for w in range(wines)] for site in sites])
    weight = np.full(len(sites), 1 / (0.16 + 0.225))
    assert found.variance == pytest.approx(average_variance(poured, weight), rel=1e-4)


@pytest.mark.parametrize(('wines', 'size'), BALANCED)
def test_sites_as_wholes_add_what_theory_says(wines: int, size: int) -> None:
    """With rooms and tasters random, the contrast root is g(r − h(r − λ)), h < 1/k."""
    sites = blocks(wines, size, 10)
    replicates = len(sites) * size / wines
    together = replicates * (size - 1) / (wines - 1)
    one, shared = 0.16 + 0.225, 0.1 + 0.1
    root = (replicates - shared / (one + size * shared) * (replicates - together)) / one
    found = planned_precision(sites, wines, VARIANCES)
    assert found.variance == pytest.approx(2 / root)
    even = even_precision(EvenSites(len(sites), 10, wines, size), VARIANCES)
    assert found.variance == pytest.approx(even[0])
    assert found.df == pytest.approx(even[1])


def test_an_uneven_plan_equals_every_matrix_written_out() -> None:
    """Unlike sites and a wine poured twice: the same as the dense algebra, mark by mark."""
    sites = [
        PlannedSite(4, (0, 1, 2, 3)),
        PlannedSite(2, (1, 2, 4, 1)),
        PlannedSite(5, (4, 0, 3)),
        PlannedSite(3, (0, 1, 2, 3, 4, 3)),
    ]
    variance, df = dense(sites, 5, VARIANCES)
    found = planned_precision(sites, 5, VARIANCES)
    assert found.variance == pytest.approx(variance)
    assert found.df == pytest.approx(df)


def test_second_pours_make_a_complete_tasting_surer() -> None:
    """Every wine poured twice at every site is as twice the tasters for the residual."""
    twice = even_precision(replace(EVEN, second_pours=8), VARIANCES)
    double = even_precision(EVEN.with_tasters(20), VARIANCES)
    assert twice[0] == pytest.approx(double[0])


@given(st.floats(1e-3, 30), st.floats(1, 1e6), st.floats(1e-6, 0.5))
def test_power_is_that_of_the_f_test(centre: float, df: float, alpha: float) -> None:
    """SciPy's noncentral F of one degree of freedom, another algorithm, says the same."""
    critical = float(critical_t(df, 2, Question(1.0, alpha)))
    expected = 1 - ncfdtr(1.0, df, centre**2, critical**2)
    assert float(power_of(centre, df, critical)) == pytest.approx(expected, abs=1e-6)


@given(st.floats(1e-6, 1e7), st.floats(1, 1e7), st.floats(1e-6, 0.5))
def test_power_is_a_probability_whatever_the_size(centre: float, df: float, alpha: float) -> None:
    """Never below the level, never above 1, never missing."""
    power = float(power_of(centre, df, critical_t(df, 2, Question(1.0, alpha))))
    assert alpha * (1 - 1e-6) <= power <= 1.0


def test_the_least_difference_is_told_as_often_as_asked() -> None:
    """Asked about the least detectable difference, power is what was wanted."""
    least = even_prospect(EVEN, VARIANCES, Question(0.5, power=0.9)).detectable
    assert even_prospect(EVEN, VARIANCES, Question(least)).power == pytest.approx(0.9)


def test_all_pairs_at_once_are_asked_more_strictly() -> None:
    """Tukey lies between one pair and Bonferroni."""
    one, tukey = (
        float(critical_t(77.0, 8, Question(1.0, pairs=pairs))) for pairs in ('one', 'all')
    )
    bonferroni = float(critical_t(77.0, 8, Question(1.0, 0.05 / 28)))
    assert one < tukey < bonferroni


@pytest.mark.parametrize(
    ('df', 'wines', 'alpha'),
    [(1.0, 3, 0.05), (2.0, 8, 0.05), (7.0, 3, 0.5), (77.0, 8, 1e-5), (500.0, 60, 0.01),
     (49_900.0, 500, 0.05)],
)  # fmt: skip
def test_the_studentised_range_is_that_of_scipy(df: float, wines: int, alpha: float) -> None:
    """Another quadrature, SciPy's, gives the same quantile."""
    expected = studentized_range.ppf(1 - alpha, wines, df)
    assert studentised_quantile(df, wines, alpha) == pytest.approx(expected, rel=1e-9)


@given(st.floats(1, 1e9), st.floats(1e-6, 0.5))
@settings(max_examples=25)
def test_the_range_of_two_is_students_t(df: float, alpha: float) -> None:
    """Of two wines the studentised range is √2 |t|."""
    expected = math.sqrt(2) * stdtrit(df, 1 - alpha / 2)
    assert studentised_quantile(df, 2, alpha) == pytest.approx(expected, rel=1e-6)


def test_many_quantiles_are_as_good_as_one() -> None:
    """Quantiles read off a curve equal those reckoned one by one."""
    question = Question(1.0, pairs='all')
    df = np.linspace(3, 400, 60)
    alone = [float(critical_t(df[i], 5, question)) for i in (0, 1, 2, 30, 59)]
    assert critical_t(df, 5, question)[[0, 1, 2, 30, 59]] == pytest.approx(alone, rel=1e-7)


def test_needed_numbers_are_just_enough() -> None:
    """One site or one taster fewer would not do."""
    question = Question(0.5)
    sites = needed_sites(EVEN, VARIANCES, question)
    assert sites is not None
    around = [
        even_prospect(EVEN.with_sites(n), VARIANCES, question).power for n in (sites - 1, sites)
    ]
    assert around[0] < 0.8 <= around[1]
    tasters = needed_tasters(EVEN, VARIANCES, question)
    assert tasters is not None
    around = [
        even_prospect(EVEN.with_tasters(n), VARIANCES, question).power
        for n in (tasters - 1, tasters)
    ]
    assert around[0] < 0.8 <= around[1]


def test_bottles_can_put_it_out_of_reach() -> None:
    """Where bottles differ a lot, no number of tasters at few sites is enough."""
    assert needed_tasters(EVEN.with_sites(4), replace(VARIANCES, bottle=4.0), Question(0.5)) is None
    assert needed_sites(EVEN, VARIANCES, Question(1e-4)) is None


def test_the_curve_is_the_prospect_of_each() -> None:
    """Every cell of the curve is what that tasting alone would get."""
    question = Question(0.7, pairs='all')
    for point in power_curve(EVEN, VARIANCES, question, sites=(4, 12), tasters=(5, 10)):
        alone = even_prospect(
            EVEN.with_sites(point.sites).with_tasters(point.tasters), VARIANCES, question
        )
        assert point.power == pytest.approx(alone.power)
        assert point.detectable == pytest.approx(alone.detectable)


def test_a_plan_without_freedom_tells_nothing() -> None:
    """Sites that hang together by single wines leave nothing to judge by: power 0."""
    found = even_prospect(EvenSites(4, 3, 9, 3), Variances(1e4, 1e4, 0.16, 2.25), Question(5.0))
    assert (0.0, math.inf) == (found.power, found.detectable)


def test_unlike_pairs_lie_between_worst_and_best() -> None:
    """Of a plan that compares pairs unequally, the ends hold the average."""
    sites = [PlannedSite(6, (0, 1, 2)), PlannedSite(6, (0, 1, 3)), PlannedSite(9, (0, 2, 3))]
    found = plan_prospect(planned_precision(sites, 4, VARIANCES), 4, Question(1.0))
    assert found.best.se < found.average.se < found.worst.se
    assert found.worst.power < found.average.power < found.best.power


@pytest.mark.parametrize(
    ('middle', 'expected'),
    [(12, (8, 10, 12, 15, 20)), (2, (2, 3, 4, 5, 6)), (13, (10, 12, 13, 15, 20))],
)
def test_round_numbers_stand_about_the_middle(middle: int, expected: tuple[int, ...]) -> None:
    """Five of them, the number itself among them, none below the least."""
    assert expected == numbers_around(middle, 2, 10_000)


@pytest.mark.parametrize(
    'bad', [(-1, 0, 0, 1), (1, 1, 1, 0), (math.nan, 0, 0, 1), (0, 0, 0, math.inf)]
)
def test_what_is_no_variance_is_refused(bad: tuple[float, float, float, float]) -> None:
    """Below 0, not a number, endless, or nothing left for the residual."""
    with pytest.raises(ValueError, match='varian'):
        Variances(*bad)


def test_simulated_tastings_agree_with_the_formula() -> None:
    """Weighed by the estimate, the difference is told as often as foreseen, alike wines rarely."""
    even, question = EvenSites(8, 6, 5, 5), Question(1.0)
    foreseen = even_prospect(even, VARIANCES, question).power
    found = simulate_telling(
        complete(even), VARIANCES, question, tastings=240, foreseen=foreseen, seed=3
    )
    assert 240 == found.fitted
    assert abs(found.share - foreseen) < 4 * math.sqrt(foreseen * (1 - foreseen) / 240)
    assert found.alike is not None
    assert abs(found.alike - 0.05) < 4 * math.sqrt(0.05 * 0.95 / 240)
