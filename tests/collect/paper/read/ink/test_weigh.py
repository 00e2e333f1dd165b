"""Trees side by side say what scikit-learn says of them."""

from __future__ import annotations

import numpy as np
import pytest
from sklearn.ensemble import HistGradientBoostingClassifier

from halfpoint.collect.paper.read.ink.box_traits import BOX_TRAITS
from halfpoint.collect.paper.read.ink.traits import TRAITS
from halfpoint.collect.paper.read.ink.weigh import Trees, box_trees, line_trees


def side_by_side(model: HistGradientBoostingClassifier, depth: int) -> Trees:
    """The trees of a model, padded to the size of the largest."""
    all_nodes = [tree[0].nodes for tree in model._predictors]
    shape = len(all_nodes), max(map(len, all_nodes))
    trait, left, right = (np.zeros(shape, np.int16) for _ in range(3))
    limit, value = (np.zeros(shape, np.float32) for _ in range(2))
    for row, nodes in enumerate(all_nodes):
        for at, node in enumerate(nodes):
            if node['is_leaf']:
                left[row, at] = right[row, at] = at
                value[row, at] = node['value']
            else:
                trait[row, at], limit[row, at] = node['feature_idx'], node['num_threshold']
                left[row, at], right[row, at] = node['left'], node['right']
    base = float(np.ravel(model._baseline_prediction)[0])
    return Trees(trait, limit, left, right, value, depth + 1, base, 0.0, 1.0)


def test_chances_are_those_of_the_library() -> None:
    """Against scikit-learn's own prediction, on traits it was not shown."""
    rng = np.random.default_rng(5)
    traits = rng.normal(0, 1, (600, 6)).astype(np.float32).astype(float)
    truth = traits[:, 0] * traits[:, 1] + 0.3 * rng.normal(0, 1, 600) > 0.2
    model = HistGradientBoostingClassifier(max_iter=30, max_depth=4, random_state=1)
    model.fit(traits[:400], truth[:400])
    found = side_by_side(model, 4).chance(traits[400:])
    assert found == pytest.approx(model.predict_proba(traits[400:])[:, 1], abs=1e-5)


def test_shipped_trees_ask_for_no_trait_that_is_not_told() -> None:
    """Every number in the files is the place of a trait."""
    assert line_trees().trait.max() < len(TRAITS)
    assert box_trees().trait.max() < len(BOX_TRAITS)


def test_the_weighing_of_nothing_is_nothing() -> None:
    """A page without boxes has no chances."""
    assert 0 == len(box_trees().chance(np.zeros((0, len(BOX_TRAITS)))))
