"""Weighing the traits of a marked line: how likely it is that its mark is not what was meant.

A sum of small decision trees, boosted on simulated pages by `tools/train_marks.py`
(J. H. Friedman, "Greedy function approximation: a gradient boosting machine", Annals of Statistics
29, 2001), kept in `trees.npz`, and a line through its log-odds that makes a chance of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
# Some forty thousand lines cannot bear out less.
LEAST_CHANCE = 2e-5


@dataclass(frozen=True, slots=True)
class Trees:
    """All trees side by side, (trees, nodes).

    At a node, `trait` of a line is held against `limit`: at most that goes `left`, more goes
    `right`; a leaf leads to itself and has a `value`. `base` is added to the sum of the leaves;
    `level` and `slope` turn that into the log-odds of a wrong mark.
    """

    trait: NDArray[np.int16]
    limit: NDArray[np.float32]
    left: NDArray[np.int16]
    right: NDArray[np.int16]
    value: NDArray[np.float32]
    depth: int
    base: float
    level: float
    slope: float

    def score(self, traits: Array) -> Array:
        """The sum over all trees for each line; (lines,) from (lines, traits)."""
        count, nodes = self.trait.shape
        # Nodes of all trees are numbered through, and the two after a node lie side by side.
        roots = np.arange(count) * nodes
        after = (np.stack([self.left, self.right], axis=2) + roots[:, None, None]).ravel()
        trait, limit = self.trait.astype(np.intp).ravel(), self.limit.ravel()
        lines = (np.arange(len(traits)) * traits.shape[1])[:, None]
        node = np.broadcast_to(roots, (len(traits), count))
        for _ in range(self.depth):
            lower = np.take(traits, lines + trait[node]) <= limit[node]
            node = after[2 * node + ~lower]
        leaves = self.value.ravel()[node]
        return np.asarray(leaves.sum(axis=1) + self.base, float)

    def chance(self, traits: Array) -> Array:
        """The chance of what the trees were taught to tell; (lines,), 0 to 1."""
        odds = self.level + self.slope * self.score(traits)
        return np.asarray(1 / (1 + np.exp(-odds)), float)


@cache
def line_trees() -> Trees:
    """The trees of lines: the chance that the marked circle is not what was meant."""
    return _kept('line_trees.npz')


@cache
def box_trees() -> Trees:
    """The trees of boxes: the chance that a box is ticked."""
    return _kept('box_trees.npz')


def _kept(name: str) -> Trees:
    with (files(__package__) / name).open('rb') as opened, np.load(opened) as kept:
        return Trees(
            trait=kept['trait'],
            limit=kept['limit'],
            left=kept['left'],
            right=kept['right'],
            value=kept['value'],
            depth=int(kept['depth']),
            base=float(kept['base']),
            level=float(kept['level']),
            slope=float(kept['slope']),
        )
