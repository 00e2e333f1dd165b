"""Points against ordered steps."""

from __future__ import annotations

import json
from dataclasses import asdict

import numpy as np
import polars as pl
import pytest
from tests.estimate.tastings import tasting

from halfpoint.estimate.ordinal.check import Pours, order_check
from halfpoint.estimate.ordinal.from_weighing import check_weighed
from halfpoint.estimate.ordinal.said import OrdinalFindings
from halfpoint.estimate.ordinal.verdicts import Verdicts, verdicts_from
from halfpoint.estimate.say import say_mark
from halfpoint.estimate.weigh import MarkToWeigh, fit_one, prepare

WINES = ('Aster', 'Birch', 'Cedar')


def verdicts(difference: list[float], p: list[float]) -> Verdicts:
    """Made-up verdicts on the three pairs of three wines."""
    first, second = np.triu_indices(3, 1)
    freedom = np.full(3, np.inf)
    return Verdicts(first, second, np.array(difference), freedom, np.array(p))


def pours(tasters: int = 60) -> Pours:
    """Everyone tastes all three wines."""
    wine = np.tile(np.arange(3), tasters)
    return Pours(wine, WINES, np.repeat(np.arange(tasters), 3))


def marks(tasters: int = 60) -> np.ndarray:
    """Aster is clearly first, Birch and Cedar are alike."""
    rng = np.random.default_rng(8)
    severity = np.repeat(rng.normal(0, 1, tasters), 3)
    worth = np.tile([2.0, 0.0, 0.0], tasters)
    return np.clip(np.round(3 + worth + severity + rng.normal(0, 1, 3 * tasters)), 0, 6) / 2


def check(main: Verdicts) -> OrdinalFindings:
    """The check of those marks."""
    return order_check(marks(), pours(), main)


def test_agreement_is_one_sentence() -> None:
    """When both tell the same pairs apart, that is what is said."""
    found = check(verdicts([1.0, 1.0, 0.1], [0.001, 0.001, 0.9]))
    assert 'the same pairs are told apart' in found.sentence
    assert ((), (), ()) == (found.opposite, found.points_only, found.steps_only)
    assert 'Aster' == found.wines[0].wine


def test_a_clear_difference_the_other_way_round() -> None:
    """Pairs that both tell apart in opposite directions are named first of all."""
    found = check(verdicts([-1.0, 1.0, 0.1], [0.001, 0.001, 0.9]))
    (pair,) = found.opposite
    assert ('Birch', 'Aster') == (pair.a, pair.b)
    assert pair.points > 0.0 > pair.steps
    assert False is found.same_order
    assert found.sentence.endswith('(Birch and Aster): the order leans on the scale.')
    assert 'Birch and Aster' in found.sentence


def test_clear_in_one_and_not_in_the_other() -> None:
    """Pairs that only one of both tells apart are listed under that one."""
    found = check(verdicts([1.0, 1.0, 0.4], [0.9, 0.001, 0.01]))
    assert [('Aster', 'Birch')] == [(pair.a, pair.b) for pair in found.steps_only]
    assert [('Birch', 'Cedar')] == [(pair.a, pair.b) for pair in found.points_only]
    assert () == found.opposite
    assert 'no pair turns round' in found.sentence


def test_alike_wines_may_change_places() -> None:
    """Wines that neither tells apart may change places, and that is said to be harmless."""
    lean = check(verdicts([1.0, 1.0, 0.1], [0.001, 0.001, 0.9]))
    turned = -1.0 if lean.same_order else 1.0
    found = check(verdicts([1.0, 1.0, 0.1 * turned], [0.001, 0.001, 0.9]))
    assert {True, False} == {lean.same_order, found.same_order}
    sentences = {lean.sentence, found.sentence}
    assert any('only wines that neither way tells apart change places' in s for s in sentences)


def test_findings_can_be_written() -> None:
    """The findings turn into JSON and hold intervals around every effect."""
    found = check(verdicts([1.0, 1.0, 0.1], [0.001, 0.001, 0.9]))
    assert json.loads(json.dumps(asdict(found)))['wines'][0]['wine'] == 'Aster'
    assert all(wine.low < wine.effect < wine.high for wine in found.wines)
    assert pytest.approx(0.0, abs=1e-9) == sum(wine.effect for wine in found.wines)
    assert marks().size == sum(step.marks for step in found.steps)
    assert found.steps[-1].threshold is None


def test_few_rooms_widen_the_intervals() -> None:
    """The main estimate's degrees of freedom widen the intervals of the steps as well."""
    main = verdicts([1.0, 1.0, 0.1], [0.001, 0.001, 0.9])
    few = Verdicts(main.first, main.second, main.difference, np.full(3, 3.0), main.p)
    wide, narrow = order_check(marks(), pours(), few), check(main)
    # 3.182 is the 97.5 % point of t with 3 degrees of freedom, 1.960 of the normal (any table).
    reach = (wide.wines[0].high - wide.wines[0].effect) / wide.wines[0].se
    assert pytest.approx(3.182, abs=5e-4) == reach
    assert narrow.wines[0].high < wide.wines[0].high


def test_verdicts_from_scores_are_tukeys() -> None:
    """Three equal, independent means 3.68 / √2 standard errors apart have p = 0.05, df = 12."""
    # Upper 5 % point of the studentised range, 3 means, 12 degrees of freedom: 3.77 (tables).
    gap = 3.77
    found = verdicts_from(np.array([gap, 0.0, 0.0]), np.eye(3), 12.0, 20)
    assert pytest.approx(0.05, abs=3e-3) == found.p[0]
    assert pytest.approx(1.0, abs=1e-6) == found.p[2]


def weighed(frame: pl.DataFrame, covariates: tuple[str, ...] = ()) -> OrdinalFindings:
    """The check of a frame's total, after the main estimate."""
    weighing = prepare(frame, ['total'], covariates=covariates)
    said = say_mark(fit_one(weighing, 'total'), MarkToWeigh('total', 'Total'), 20)
    return check_weighed(weighing.design, 'total', said)


def stepped(frame: pl.DataFrame) -> pl.DataFrame:
    """The same in half points."""
    return frame.with_columns((2.0 * pl.col('total')).round() / 2.0)


def test_from_the_main_estimate() -> None:
    """Effects and covariates are the main estimate's, and the order is the one drawn."""
    frame = stepped(tasting(sites=6, tasters=6, wines=4, gap=1.0, seed=3))
    found = weighed(frame, ('position',))
    assert {'taster', 'site', 'bottle'} == set(found.spreads)
    assert ['position'] == [covariate.covariate for covariate in found.covariates]
    assert ['w03', 'w02', 'w01', 'w00'] == [wine.wine for wine in found.wines]
    assert 13 == len(found.steps)
    assert True is found.same_order


def test_tasters_who_cross_rooms() -> None:
    """Tasters who go from room to room are no obstacle."""
    frame = stepped(tasting(sites=4, tasters=6, wines=4, crossing=True, gap=1.0, seed=5))
    found = weighed(frame)
    assert found.loglik is not None
    assert 4 == len(found.wines)


def test_what_cannot_be_fitted_is_said() -> None:
    """A kind of mark that the main estimate could not compare is not checked, and says so."""
    frame = stepped(tasting(seed=1))
    weighing = prepare(frame, ['total'])
    said = say_mark(fit_one(weighing, 'total'), MarkToWeigh('total', 'Total'), 20)
    bare = {name: getattr(said, name) for name in said.__slots__} | {'pairs': ()}
    found = check_weighed(weighing.design, 'total', type(said)(**bare))
    assert 'Not checked as ordered steps: the main estimate compares no wines.' == found.sentence
    assert found.loglik is None


def test_rooms_that_cannot_be_carried_are_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """When too many rooms hang together, the check goes on without them and says so."""
    monkeypatch.setattr('halfpoint.estimate.ordinal.blocks.MOST_SHARED', 3)
    found = weighed(stepped(tasting(sites=4, tasters=6, wines=4, gap=1.0, seed=3)))
    assert {'taster'} == set(found.spreads)
    assert 'left out of this check' in found.notes[-1]
