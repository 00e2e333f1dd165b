"""Bottles at hand."""

from __future__ import annotations

import numpy as np
import pytest
from tests.plan.sample import tasting

from halfpoint.errors import TastingFileError
from halfpoint.plan.cellar import cellar_of
from halfpoint.plan.make import make_plan


def test_bottles_are_counted_by_site() -> None:
    """Fourteen pours of 50 ml in a bottle less 5 %: 14 seats take one, 15 take two."""
    cellar = cellar_of(tasting(3), [1, 14, 15, 28])
    assert [1, 1, 2, 2] == cellar.once.tolist()
    assert [1, 2, 3, 4] == cellar.twice.tolist()


def test_a_wine_reaches_every_site_when_its_bottles_do() -> None:
    """Six bottles are just enough for sites that take 1, 1, 2 and 2."""
    cellar = cellar_of(tasting([{'bottles': 6}, {'bottles': 5}, {}]), [1, 14, 15, 28])
    assert [4, 2, 4] == cellar.most_sites(np.ones((4, 3), dtype=bool)).tolist()


def test_bottles_without_spares_still_pour_everything() -> None:
    """When the bottles give every pour but not every spare, the spares are short and told."""
    plan = make_plan(tasting([{'bottles': 5}] * 3, 4))
    assert 1.0 == plan.balance.efficiency
    assert {0, 1} == {line.spare for line in plan.bottles}
    assert 0 == sum(wine.to_buy for wine in plan.money.wines)
    assert any("Too few bottles at hand for every spare" in loss for loss in plan.losses)


def test_second_pours_stop_where_the_bottles_do() -> None:
    """A second pour that would need a bottle nobody has is left out and told."""
    plan = make_plan(tasting([{'bottles': 1}] * 3, [{'seats': 10}], second_pours=2))
    assert not any(pour.second_pour for pour in plan.pours)
    assert any("do not give 2 of the hidden second pours" in loss for loss in plan.losses)


def test_a_site_with_one_wine_is_told_and_one_with_none_refused() -> None:
    """Two wines of which one, or both, are missing somewhere."""
    plan = make_plan(tasting(2, [{}, {'missing': ('w00',)}]))
    assert "Only one wine is poured, so nothing is compared, at: s01." in plan.losses
    with pytest.raises(TastingFileError, match="no wine is left for the site"):
        make_plan(tasting(2, [{}, {'missing': ('w00', 'w01')}]))
