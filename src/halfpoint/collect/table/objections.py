"""Why rows cannot be accepted, gathered column by column and told row by row."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np

from halfpoint.collect.table.arrays import Indices, Mask
from halfpoint.errors import NotATable

MOST_HELD = 500_000


@dataclass(frozen=True, slots=True)
class Objection:
    """One field of one pour: what was found there and what was expected."""

    index: int
    field: str
    found: str
    expected: str


def object_to(
    flagged: Mask, field: str, found: Callable[[int], str], expected: Callable[[int], str] | str
) -> list[Objection]:
    """An objection to `field` for each flagged row; found and expected are asked by row.

    Raises:
        NotATable: more rows than could sensibly be mended.
    """
    count = int(np.count_nonzero(flagged))
    if not count:
        return []
    if count > MOST_HELD:
        first = int(np.argmax(flagged))
        raise NotATable(
            f"{count:,} rows that would have to be held, the first for {found(first)!r}",
            where=f"the column for the {field}",
            expected=expected if isinstance(expected, str) else expected(first),
            remedy="check that this is the right column; --map role=column names another",
        )
    return [
        Objection(
            index, field, found(index), expected if isinstance(expected, str) else expected(index)
        )
        for index in np.flatnonzero(flagged).tolist()
    ]


def by_row(objections: Iterable[Objection]) -> dict[int, list[Objection]]:
    """The objections to each row, rows in order."""
    rows: dict[int, list[Objection]] = {}
    for objection in objections:
        rows.setdefault(objection.index, []).append(objection)
    return dict(sorted(rows.items()))


def standing(count: int, objections: Iterable[Objection]) -> Indices:
    """The rows of `count` that nothing is held against."""
    stands = np.ones(count, dtype=np.bool_)
    stands[[objection.index for objection in objections]] = False
    return np.flatnonzero(stands)
