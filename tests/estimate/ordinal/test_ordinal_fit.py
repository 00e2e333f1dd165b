"""The fit of ordered steps: what comes out, what is refused, and what is held in."""

from __future__ import annotations

import warnings

import numpy as np
import pytest
from hypothesis import given, settings
from scipy.optimize import minimize
from statsmodels.miscmodels.ordinal_model import OrderedModel
from tests.estimate.ordinal.draws import Table, table, tables

from halfpoint.errors import EstimateError, NoVariation, TooFewMarks
from halfpoint.estimate.ordinal.fit import OrdinalFit, ordinal_fit
from halfpoint.estimate.ordinal.links import Link
from halfpoint.estimate.ordinal.quadrature import TasterQuadrature
from halfpoint.estimate.ordinal.rooms import RoomLaplace

LINKS: tuple[Link, ...] = ('logit', 'probit')
ORDINARY = table(seed=2, sites=4, tasters=8, wines=5)
TASTERS, WINES = 12, 4
TASTER = np.repeat(np.arange(TASTERS), WINES)
WINE = np.tile(np.arange(WINES), TASTERS)
SITE = TASTER // 3


def fit(drawn: Table, link: Link = 'logit', nodes: int = 7) -> OrdinalFit:
    """Tasters alone."""
    return ordinal_fit(
        drawn.step, drawn.wine, drawn.taster, drawn.covariates, link=link, nodes=nodes
    )


def theta_of(found: OrdinalFit) -> np.ndarray:
    """The parameters as the likelihoods take them."""
    at_first = found.thresholds - found.wines[0]
    against_first = found.wines[1:] - found.wines[0]
    return np.concatenate([at_first, against_first, found.covariates, [*found.spreads.values()]])


@pytest.mark.parametrize('link', LINKS)
def test_fixed_effects_are_those_of_statsmodels(link: Link) -> None:
    """Without random effects a drawn table gives statsmodels' OrderedModel: value and effects."""
    drawn = ORDINARY
    found = ordinal_fit(drawn.step, drawn.wine, None, drawn.covariates, link=link)
    wines = np.eye(5)[drawn.wine][:, 1:]
    with warnings.catch_warnings():
        warnings.simplefilter('ignore')
        model = OrderedModel(drawn.step, np.hstack([wines, drawn.covariates]), distr=link)
        peer = model.fit(method='bfgs', gtol=1e-8, disp=False)
    assert pytest.approx(peer.llf, abs=1e-7) == found.loglik
    assert pytest.approx(peer.params[:4], abs=1e-5) == found.wines[1:] - found.wines[0]
    assert pytest.approx(peer.params[4], abs=1e-5) == found.covariates[0]
    assert pytest.approx(peer.bse[4], rel=1e-3) == found.covariate_errors[0]


@pytest.mark.parametrize('link', LINKS)
@pytest.mark.parametrize('nodes', [1, 7])
def test_no_better_top_by_a_general_optimiser(link: Link, nodes: int) -> None:
    """From the found top and from afar, SciPy's BFGS finds no higher log-likelihood."""
    found = fit(ORDINARY, link, nodes)
    model = TasterQuadrature(ORDINARY.rows(link), ORDINARY.taster, nodes)

    def loss(theta: np.ndarray) -> float:
        return -model.height(theta)[0] if model.rows.feasible(theta) else np.inf

    top = theta_of(found)
    for start in (top, top * 0.6):
        reached = -minimize(loss, start, method='Nelder-Mead', options={'maxiter': 1500}).fun
        assert reached <= found.loglik + 1e-6
    assert pytest.approx(model.height(top)[0], abs=1e-9) == found.loglik


def test_no_better_top_with_rooms() -> None:
    """With rooms and bottles, SciPy's BFGS with our gradient finds no higher log-likelihood."""
    drawn = ORDINARY
    found = ordinal_fit(
        drawn.step,
        drawn.wine,
        drawn.taster,
        drawn.covariates,
        site=drawn.site,
        bottle=drawn.bottle,
    )
    model = RoomLaplace(drawn.rows('logit'), drawn.taster, (drawn.site, drawn.bottle))

    def loss(theta: np.ndarray) -> tuple[float, np.ndarray]:
        if not model.rows.feasible(theta):
            return 1e10, np.zeros(theta.size)
        value, slope = model.height(theta)
        return -value, -slope

    start = theta_of(found) * 0.8 + 0.1 * np.arange(1, 1 + len(theta_of(found)))[::-1] / 100
    peer = minimize(loss, start, jac=True, method='BFGS', options={'gtol': 1e-6})
    assert -peer.fun <= found.loglik + 1e-6
    assert {'taster', 'site', 'bottle'} == set(found.spreads)


@settings(max_examples=15)
@given(drawn=tables)
def test_the_top_is_flat(drawn: Table) -> None:
    """Whatever the table, the gradient vanishes, errors are finite and wines sum to zero."""
    try:
        found = fit(drawn)
    except EstimateError:
        return
    errors = np.sqrt(np.diagonal(found.wine_covariance))
    assert found.slope < 1e-3
    assert np.isfinite(errors).all()
    assert pytest.approx(0.0, abs=1e-9) == found.wines.sum()
    assert pytest.approx(np.zeros(found.wines.size), abs=1e-9) == found.wine_covariance.sum(axis=0)


@pytest.mark.parametrize('link', LINKS)
def test_upside_down(link: Link) -> None:
    """Steps counted from the other end turn every effect round and change nothing else."""
    drawn = ORDINARY
    up = fit(drawn, link)
    down = ordinal_fit(4 - drawn.step, drawn.wine, drawn.taster, drawn.covariates, link=link)
    assert pytest.approx(up.loglik, abs=1e-8) == down.loglik
    assert pytest.approx(-up.wines, abs=1e-6) == down.wines
    assert pytest.approx(-up.thresholds[::-1], abs=1e-6) == down.thresholds
    assert pytest.approx(up.spreads['taster'], abs=1e-6) == down.spreads['taster']


def test_order_of_rows_and_names_of_steps_do_not_matter() -> None:
    """Shuffled rows, and steps called by other rising numbers, give the same answer."""
    drawn = ORDINARY
    shuffled = np.random.default_rng(0).permutation(drawn.step.size)
    marks = np.array([0.5, 1.0, 7.0, 7.5, 20.0])[drawn.step]
    found = ordinal_fit(
        marks[shuffled],
        drawn.wine[shuffled],
        drawn.taster[shuffled],
        drawn.covariates[shuffled],
    )
    expected = fit(drawn)
    assert pytest.approx(expected.loglik, abs=1e-9) == found.loglik
    assert pytest.approx(expected.wines, abs=1e-6) == found.wines
    assert (0.5, 1.0, 7.0, 7.5, 20.0) == found.lowest


def test_tasters_alike_are_the_fixed_model() -> None:
    """When tasters scatter less than chance would, their spread is zero, and it is said."""
    steps = np.array([0, 1, 2, 3])[(WINE + TASTER) % 4]
    found = ordinal_fit(steps, WINE, TASTER)
    assert {'taster': 0.0} == found.spreads
    assert pytest.approx(ordinal_fit(steps, WINE).loglik, abs=1e-9) == found.loglik
    assert (True, False) == ('taken as alike' in found.notes[0], found.held_in)


def test_rooms_alike_are_tasters_alone() -> None:
    """Rooms and bottles that do not differ are set to zero, said, and leave the tasters' fit."""
    drawn = table(seed=17, room=0.0, sites=6, tasters=6)
    arrays = (drawn.step, drawn.wine, drawn.taster, drawn.covariates)
    alone = ordinal_fit(*arrays, nodes=1)
    found = ordinal_fit(*arrays, site=drawn.site, bottle=drawn.bottle)
    assert (0.0, 0.0) == (found.sigma_site, found.sigma_bottle)
    assert pytest.approx(alone.loglik, abs=1e-7) == found.loglik
    assert pytest.approx(alone.wines, abs=1e-5) == found.wines
    assert 2 == sum('taken as alike' in note for note in found.notes)


@pytest.mark.parametrize('link', LINKS)
@pytest.mark.parametrize('rooms', [False, True])
def test_a_wine_on_the_top_step_for_everyone(link: Link, rooms: bool) -> None:
    """A wine that everyone puts on top is far ahead by a finite amount, and it is said why."""
    rng = np.random.default_rng(1)
    steps = np.clip(np.round(2 + 0.5 * WINE + rng.normal(0, 1, WINE.size)), 0, 5)
    steps[WINE == 3] = 5
    found = ordinal_fit(steps, WINE, TASTER, site=SITE if rooms else None, link=link)
    assert found.held_in
    assert 3 == int(found.wines.argmax())
    assert 2.0 < found.wines[3] < 20.0
    assert 'no upper limit' in found.notes[-1]


@pytest.mark.parametrize('link', LINKS)
@pytest.mark.parametrize(
    'steps', [WINE, WINE > 1, TASTER % 5], ids=['all agree', 'two steps', 'tasters stick to one']
)
def test_perfect_separation(link: Link, steps: np.ndarray) -> None:
    """When wines or tasters decide every step, the answer is finite and explained."""
    found = ordinal_fit(steps.astype(float), WINE, TASTER, link=link)
    errors = np.sqrt(np.diagonal(found.wine_covariance))
    assert found.held_in
    assert (np.isfinite(found.wines) & (errors > 0.0) & (errors < 10.0)).all()
    assert found.spreads['taster'] < 20.0


def test_marks_without_noise() -> None:
    """Severity and wine that leave hardly any noise are held in, the wines in their order."""
    marks = np.round(4 * WINE + 3 * np.random.default_rng(1).normal(0, 1, TASTERS)[TASTER])
    found = ordinal_fit(marks, WINE, TASTER)
    assert found.held_in
    assert [0, 1, 2, 3] == np.argsort(found.wines).tolist()


def test_two_tasters_and_a_taster_with_one_mark() -> None:
    """Two tasters, and a taster with one mark among others, are fitted."""
    two = ORDINARY.taster < 2
    steps, wine = ORDINARY.step[two], ORDINARY.wine[two]
    pair = ordinal_fit(np.tile(steps, 3), np.tile(wine, 3), np.tile(ORDINARY.taster[two], 3))
    keep = (ORDINARY.taster != 5) | (np.cumsum(ORDINARY.taster == 5) == 1)
    one = ordinal_fit(ORDINARY.step[keep], ORDINARY.wine[keep], ORDINARY.taster[keep])
    assert 2 == pair.tasters.size
    assert np.isfinite(pair.loglik)
    assert np.isfinite(one.loglik)


@pytest.mark.parametrize(
    ('taster', 'said'),
    [(np.zeros(48, dtype=int), 'one taster'), (np.arange(48), 'Nobody marked twice')],
)
@pytest.mark.parametrize('site', [None, SITE])
def test_severity_that_cannot_be_told(
    taster: np.ndarray, said: str, site: np.ndarray | None
) -> None:
    """One taster, or one mark each, leave severity out of the model and say so."""
    steps = np.searchsorted([-1, 0, 1], np.random.default_rng(3).normal(0.3 * WINE, 1.0))
    found = ordinal_fit(steps, WINE, taster, site=site)
    assert found.sigma_taster is None
    assert (site is None) == (found.sigma_site is None)
    assert said in found.notes[0]


def test_one_step_is_refused() -> None:
    """Marks that are all the same are refused, with the mark."""
    with pytest.raises(NoVariation, match='every mark is 2½'):
        ordinal_fit(np.full(48, 2.5), WINE, TASTER)


def test_one_wine_is_refused() -> None:
    """A single wine has nothing to be compared with."""
    with pytest.raises(TooFewMarks, match='one wine only'):
        ordinal_fit(TASTER % 3, np.zeros(48, dtype=int), TASTER)


STEPS = WINE % 3


@pytest.mark.parametrize(
    ('said', 'arrays'),
    [
        ('missing or no numbers', {'marks': np.where(WINE == 1, np.nan, WINE)}),
        ('wine has the shape', {'wine': WINE[:-1]}),
        ('taster has the shape', {'taster': TASTER / 2.0}),
        ('codes of wine have a gap', {'wine': 2 * WINE}),
        ('codes of taster have a gap', {'taster': TASTER - 1}),
        ('cannot be told from the wines', {'covariates': WINE.astype(float)}),
        ('missing or no number', {'covariates': np.full(48, np.inf)}),
        ('has one level only', {'site': np.zeros(48, dtype=int)}),
        ('one mark for each level', {'bottle': np.arange(48)}),
        ('0 nodes', {'nodes': 0}),
        ('"cloglog" is not known', {'link': 'cloglog'}),
    ],
)
def test_arrays_that_do_not_fit_are_refused(said: str, arrays: dict[str, object]) -> None:
    """A refusal says what was found."""
    given = {'marks': STEPS, 'wine': WINE, 'taster': TASTER, **arrays}
    with pytest.raises(EstimateError, match=said):
        ordinal_fit(**given)


def test_no_marks_are_refused() -> None:
    """An empty table is refused."""
    none = np.zeros(0, dtype=int)
    with pytest.raises(TooFewMarks, match='no marks'):
        ordinal_fit(none, none, none)
