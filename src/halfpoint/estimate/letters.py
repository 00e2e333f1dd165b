"""Letters shared by wines that the marks cannot tell apart.

The insert-and-absorb algorithm of Piepho (2004), J. Comput. Graph. Stat. 13, 456: start
with one group of all; each pair that differs splits every group that holds both; groups
inside others are dropped.
"""

from __future__ import annotations

from string import ascii_lowercase

import numpy as np
from numpy.typing import NDArray


def letter_groups(estimates: NDArray[np.float64], differ: NDArray[np.bool_]) -> tuple[str, ...]:
    """Letters of each wine; two wines share a letter exactly if they do not differ.

    Args:
        estimates: (p,) scores; the group of the highest gets the letter a.
        differ: (p, p) symmetric, true where two wines are told apart.
    """
    groups = [frozenset(range(estimates.size))]
    for i, j in np.argwhere(np.triu(differ, 1)).tolist():
        split: set[frozenset[int]] = set()
        for group in groups:
            if i in group and j in group:
                split |= {group - {i}, group - {j}}
            else:
                split.add(group)
        groups = _absorb(split)
    place = np.empty(estimates.size, dtype=int)
    place[np.argsort(-estimates, kind='stable')] = np.arange(estimates.size)
    ordered = sorted(groups, key=lambda group: sorted(place[list(group)].tolist()))
    names = [_name(index) for index in range(len(ordered))]
    return tuple(
        ''.join(name for name, group in zip(names, ordered, strict=True) if wine in group)
        for wine in range(estimates.size)
    )


def _absorb(groups: set[frozenset[int]]) -> list[frozenset[int]]:
    return [g for g in groups if not any(g < other for other in groups)]


def _name(index: int) -> str:
    """Letters a to z, then a1 to z1 and on."""
    turn, letter = divmod(index, len(ascii_lowercase))
    return ascii_lowercase[letter] + (str(turn) if turn else '')
