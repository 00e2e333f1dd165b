"""Fewest right answers of triangle and duo-trio tests: the printed tables.

Triangle: FAO manual V7180E, Appendix A (read on the web page of that chapter); the rule is that
of ISO 4120.  Duo-trio: GOST ISO 10399-2015, Table A.1 (read on a page that reproduces it; a few
figures had run together there and were split by eye).  Each row: answers, then the fewest right
ones at each level; - where not even all would do.
"""

from __future__ import annotations

import pytest

from halfpoint.plan.difference import Test, fewest_right

TRIANGLE_LEVELS = (0.1, 0.05, 0.01, 0.001)
TRIANGLE = """
    3 3 3 - -
    4 4 4 - -
    5 4 4 5 -
    6 5 5 6 -
    7 5 5 6 7
    8 5 6 7 8
    9 6 6 7 8
    10 6 7 8 9
    11 7 7 8 10
    12 7 8 9 10
    13 8 8 9 11
    14 8 9 10 11
    15 8 9 10 12
    16 9 9 11 12
    17 9 10 11 13
    18 10 10 12 13
    19 10 11 12 14
    20 10 11 13 14
    21 11 12 13 15
    22 11 12 14 15
    23 12 12 14 16
    24 12 13 15 16
    25 12 13 15 17
    26 13 14 15 17
    27 13 14 16 18
    28 14 15 16 18
    29 14 15 17 19
    30 14 15 17 19
    31 15 16 18 20
    32 15 16 18 20
    33 15 17 18 21
    34 16 17 19 21
    35 16 17 19 22
    36 17 18 20 22
    42 19 20 22 25
    48 21 22 25 27
    54 23 25 27 30
    60 26 27 30 33
    66 28 29 32 35
    72 30 32 34 38
    78 32 34 37 40
    84 35 36 39 43
    90 37 38 42 45
    96 39 41 44 48
"""
DUO_TRIO_LEVELS = (0.2, 0.1, 0.05, 0.01, 0.001)
DUO_TRIO = """
    6 5 6 6 - -
    7 6 6 7 7 -
    8 6 7 7 8 -
    9 7 7 8 9 -
    10 7 8 9 10 10
    11 8 9 9 10 11
    12 8 9 10 11 12
    13 9 10 10 12 13
    14 10 10 11 12 13
    15 10 11 12 13 14
    16 11 12 12 14 15
    17 11 12 13 14 16
    18 12 13 13 15 16
    19 12 13 14 15 17
    20 13 14 15 16 18
    21 13 14 15 17 18
    22 14 15 16 17 19
    23 15 16 16 18 20
    24 15 16 17 19 20
    25 16 17 18 19 21
    26 16 17 18 20 22
    27 17 18 19 20 22
    28 17 18 19 21 23
    29 18 19 20 22 24
    30 18 20 20 22 24
    32 19 21 22 24 26
    36 22 23 24 26 28
    40 24 25 26 28 31
    44 26 27 28 31 33
    48 28 29 31 33 36
    52 30 32 33 35 38
    56 32 34 35 38 40
    60 34 36 37 40 43
    64 36 38 40 42 45
    68 38 40 42 45 48
    72 41 42 44 47 50
    76 43 45 46 49 52
    80 45 47 48 51 55
    84 47 49 51 54 57
    88 49 51 53 56 59
"""

Row = tuple[int, tuple[int | None, ...]]


def _rows(table: str) -> list[Row]:
    rows = []
    for line in table.strip().splitlines():
        answers, *right = line.split()
        rows.append((int(answers), tuple(None if x == '-' else int(x) for x in right)))
    return rows


@pytest.mark.parametrize(
    ('test', 'levels', 'table'),
    [('triangle', TRIANGLE_LEVELS, TRIANGLE), ('duo-trio', DUO_TRIO_LEVELS, DUO_TRIO)],
    ids=['triangle', 'duo-trio'],
)
def test_fewest_right_answers_are_those_of_the_table(
    test: Test, levels: tuple[float, ...], table: str
) -> None:
    """Every printed figure is found again."""
    expected = _rows(table)
    assert len(expected) > 35
    assert expected == [
        (answers, tuple(fewest_right(answers, test, level) for level in levels))
        for answers, _ in expected
    ]
