"""Parts of a tasting, against a plain breadth-first search."""

from __future__ import annotations

from collections import deque

import numpy as np
import polars as pl
from hypothesis import given
from hypothesis import strategies as st

from halfpoint.estimate.connected import parts_of
from halfpoint.estimate.design import factor


def searched(marks: list[tuple[int, int]]) -> dict[int, int]:
    """Part of each wine by breadth-first search, numbered in the order of the wines."""
    parts: dict[int, int] = {}
    for start in sorted({wine for _, wine in marks}):
        if start in parts:
            continue
        number = len(set(parts.values()))
        waiting = deque([start])
        while waiting:
            wine = waiting.popleft()
            if wine in parts:
                continue
            parts[wine] = number
            tasters = {t for t, w in marks if w == wine}
            waiting.extend(w for t, w in marks if t in tasters)
    return parts


def found(marks: list[tuple[int, int]]) -> dict[int, int]:
    frame = pl.DataFrame(
        {'taster': [f'{t:05d}' for t, _ in marks], 'wine': [f'{w:05d}' for _, w in marks]}
    )
    wine = factor(frame, 'wine')
    parts = parts_of(factor(frame, 'taster'), wine)
    return dict(zip((int(label) for label in wine.labels), parts.tolist(), strict=True))


@given(st.lists(st.tuples(st.integers(0, 9), st.integers(0, 9)), min_size=1, max_size=25))
def test_parts_are_those_of_a_search(marks) -> None:
    """Any small tasting: the same parts, numbered in the order of the wines."""
    assert searched(marks) == found(marks)


def test_a_long_chain_is_one_part() -> None:
    """Twenty thousand wines, each taster linking two neighbours, in shuffled names."""
    rng = np.random.default_rng(1)
    names = rng.permutation(20_000).tolist()
    marks = [(t, names[t + step]) for t in range(19_999) for step in (0, 1)]
    assert {0} == set(found(marks).values())
