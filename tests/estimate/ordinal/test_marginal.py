"""Log-likelihoods with effects integrated out: value, gradient, information."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import minimize
from scipy.special import expit, ndtr
from tests.estimate.ordinal.draws import Table, table, tables, theta_for

from halfpoint.estimate.ordinal.links import Link
from halfpoint.estimate.ordinal.quadrature import TasterQuadrature
from halfpoint.estimate.ordinal.rooms import RoomLaplace
from halfpoint.estimate.ordinal.rows import Rows, fixed_height

LINKS = st.sampled_from(['logit', 'probit'])
FUNCTION: dict[Link, Callable[[np.ndarray], np.ndarray]] = {'logit': expit, 'probit': ndtr}
STEP = 1e-5


def slopes(height: Callable[[np.ndarray], float], theta: np.ndarray) -> np.ndarray:
    """Central differences of a function."""
    moves = STEP * np.eye(theta.size)
    return np.array([(height(theta + m) - height(theta - m)) / (2.0 * STEP) for m in moves])


def probability(rows: Rows, theta: np.ndarray, shift: np.ndarray) -> np.ndarray:
    """P of each row's step, straight from the definition; `shift` is what effects add."""
    edges = np.concatenate([[-np.inf], theta[: rows.cut_points], [np.inf]])
    eta = rows.eta(theta) + shift
    link = FUNCTION[rows.link]
    return link(edges[rows.step + 1] - eta) - link(edges[rows.step] - eta)


@settings(max_examples=30)
@given(drawn=tables, link=LINKS, nodes=st.sampled_from([1, 2, 7]), seed=st.integers(0, 99))
def test_gradient_over_tasters(drawn: Table, link: Link, nodes: int, seed: int) -> None:
    """With any number of nodes the gradient is that of central differences."""
    rows = drawn.rows(link)
    model, theta = TasterQuadrature(rows, drawn.taster, nodes), theta_for(rows, 1, seed)
    expected = slopes(lambda at: model.height(at)[0], theta)
    assert pytest.approx(expected, rel=1e-5, abs=1e-5) == model.height(theta)[1]


@settings(max_examples=30)
@given(drawn=tables, link=LINKS, both=st.booleans(), seed=st.integers(0, 99))
def test_gradient_over_rooms(drawn: Table, link: Link, both: bool, seed: int) -> None:
    """With sites, and with sites and bottles, the gradient is that of central differences."""
    rows = drawn.rows(link)
    shared = (drawn.site, drawn.bottle) if both else (drawn.site,)
    model = RoomLaplace(rows, drawn.taster, shared)
    theta = theta_for(rows, 1 + len(shared), seed)
    expected = slopes(lambda at: model.height(at)[0], theta)
    assert pytest.approx(expected, rel=1e-5, abs=1e-5) == model.height(theta)[1]


@settings(max_examples=10)
@given(drawn=tables, link=LINKS, seed=st.integers(0, 99))
def test_gradient_when_tasters_cross_rooms(drawn: Table, link: Link, seed: int) -> None:
    """Tasters who go from room to room join the rooms, and the gradient still holds."""
    rows = drawn.rows(link)
    site = np.random.default_rng(seed).permutation(drawn.site)
    bottle = np.unique(site * 100 + drawn.wine, return_inverse=True)[1]
    model, theta = RoomLaplace(rows, drawn.taster, (site, bottle)), theta_for(rows, 3, seed)
    expected = slopes(lambda at: model.height(at)[0], theta)
    assert pytest.approx(expected, rel=1e-5, abs=1e-5) == model.height(theta)[1]


@settings(max_examples=10)
@given(drawn=tables, link=LINKS, seed=st.integers(0, 99))
def test_curvature_without_effects(drawn: Table, link: Link, seed: int) -> None:
    """Second derivatives without effects are central differences of the gradient."""
    rows = drawn.rows(link)
    theta = theta_for(rows, 0, seed)
    moves = STEP * np.eye(theta.size)
    expected = [
        (fixed_height(rows, theta + m).gradient - fixed_height(rows, theta - m).gradient)
        / (2.0 * STEP)
        for m in moves
    ]
    actual = fixed_height(rows, theta).curvature
    assert pytest.approx(np.array(expected), rel=1e-5, abs=1e-5) == actual


@pytest.mark.parametrize('link', ['logit', 'probit'])
def test_quadrature_is_the_integral(link: Link) -> None:
    """Fifteen nodes give each taster's integral as SciPy's adaptive rule does, to 1e-7."""
    drawn = table(seed=4, sites=2, tasters=3)
    rows = drawn.rows(link)
    theta = theta_for(rows, 1, 4)
    theta[-1] = 1.3

    def integrand(v: float, mine: np.ndarray) -> float:
        own = probability(rows, theta, np.full(rows.step.size, theta[-1] * v))[mine]
        return float(own.prod() * np.exp(-0.5 * v**2) / np.sqrt(2.0 * np.pi))

    expected = sum(
        np.log(quad(integrand, -9, 9, args=(drawn.taster == t,), epsabs=0, epsrel=1e-10)[0])
        for t in range(drawn.taster.max() + 1)
    )
    found = TasterQuadrature(rows, drawn.taster, 15).height(theta)[0]
    assert pytest.approx(expected, abs=1e-7) == found


@pytest.mark.parametrize('link', ['logit', 'probit'])
def test_laplace_over_rooms_is_that_of_dense_algebra(link: Link) -> None:
    """With all effects in one dense matrix, a general optimiser gives the same log-likelihood."""
    drawn = table(seed=5, sites=2, tasters=3, wines=3)
    rows = drawn.rows(link)
    theta = theta_for(rows, 3, 5)
    groups = (drawn.taster, drawn.site, drawn.bottle)
    load = np.hstack([np.eye(g.max() + 1)[g] * s for g, s in zip(groups, theta[-3:], strict=True)])

    def loss(u: np.ndarray) -> float:
        return float(0.5 * u @ u - np.log(probability(rows, theta, load @ u)).sum())

    top = minimize(loss, np.zeros(load.shape[1]), method='BFGS', options={'gtol': 1e-7}).x
    h = 1e-4
    moves = h * np.eye(top.size)
    hessian = np.array(
        [
            [(loss(top + a + b) - loss(top + a - b) - loss(top - a + b) + loss(top - a - b))
             / (4.0 * h**2) for b in moves]
            for a in moves
        ]
    )  # fmt: skip
    expected = -loss(top) - 0.5 * np.linalg.slogdet(hessian)[1]
    found = RoomLaplace(rows, drawn.taster, (drawn.site, drawn.bottle)).height(theta)[0]
    assert pytest.approx(expected, abs=1e-4) == found


@settings(max_examples=10)
@given(drawn=tables, link=LINKS, seed=st.integers(0, 99))
def test_rooms_without_spread_are_tasters_alone(drawn: Table, link: Link, seed: int) -> None:
    """With sites and bottles at zero, both ways of Laplace agree in value and gradient."""
    rows = drawn.rows(link)
    alone = theta_for(rows, 1, seed)
    value, slope = TasterQuadrature(rows, drawn.taster, 1).height(alone)
    rooms = RoomLaplace(rows, drawn.taster, (drawn.site, drawn.bottle))
    found = rooms.height(np.append(alone, [0.0, 0.0]))
    assert pytest.approx(value, abs=1e-9) == found[0]
    assert pytest.approx(slope, rel=1e-7, abs=1e-7) == found[1][:-2]
    assert pytest.approx([0.0, 0.0], abs=1e-9) == found[1][-2:]


@settings(max_examples=10)
@given(drawn=tables, link=LINKS, nodes=st.sampled_from([1, 3, 9]), seed=st.integers(0, 99))
def test_no_spread_is_no_effect(drawn: Table, link: Link, nodes: int, seed: int) -> None:
    """At a standard deviation of zero the log-likelihood is that without tasters."""
    rows = drawn.rows(link)
    theta = theta_for(rows, 0, seed)
    expected = fixed_height(rows, theta)
    value, slope = TasterQuadrature(rows, drawn.taster, nodes).height(np.append(theta, 0.0))
    assert pytest.approx(expected.value, abs=1e-9) == value
    assert pytest.approx(expected.gradient, abs=1e-8) == slope[:-1]


@settings(max_examples=10)
@given(drawn=tables, link=LINKS)
def test_louis_information(drawn: Table, link: Link) -> None:
    """With 25 nodes Louis's formula is the differenced gradient, to 1 in 1,000."""
    rows = drawn.rows(link)
    model, theta = TasterQuadrature(rows, drawn.taster, 25), theta_for(rows, 1, 3)
    theta[-1] = 0.9
    moves = STEP * np.eye(theta.size)
    expected = [
        (model.height(theta - m)[1] - model.height(theta + m)[1]) / (2.0 * STEP) for m in moves
    ]
    found = model.information(theta)
    assert pytest.approx(np.array(expected), rel=1e-3, abs=1e-3) == found


def test_many_tasters_are_worked_on_in_pieces(monkeypatch: pytest.MonkeyPatch) -> None:
    """However the tasters are cut into pieces, value, gradient and information are the same."""
    drawn = table(seed=9, sites=3, tasters=6)
    rows, nodes = drawn.rows('logit'), 7
    theta = theta_for(rows, 1, 9)
    whole = TasterQuadrature(rows, drawn.taster, nodes)
    monkeypatch.setattr('halfpoint.estimate.ordinal.quadrature.CHUNK', 50)
    cut = TasterQuadrature(rows, drawn.taster, nodes)
    assert pytest.approx(whole.height(theta)[0], rel=1e-12) == cut.height(theta)[0]
    assert pytest.approx(whole.height(theta)[1], rel=1e-9, abs=1e-9) == cut.height(theta)[1]
    assert pytest.approx(whole.information(theta), rel=1e-9, abs=1e-9) == cut.information(theta)
