"""Fewest right answers of triangle and duo-trio tests: the printed tables.

Triangle: FAO manual V7180E, Appendix A (read on the web page of that chapter); the rule is that
of ISO 4120.  Duo-trio: GOST ISO 10399-2015, Table A.1 (read on a page that reproduces it; a few
figures had run together there and were split by eye).  Each row of the
files in data/: answers, then the fewest right ones at each level, none where not even all would do.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from halfpoint.plan.difference import Test, fewest_right

DATA = Path(__file__).parent / 'data'


@pytest.mark.parametrize(
    ('test', 'table'), [('triangle', 'triangle.csv'), ('duo-trio', 'duo_trio.csv')]
)
def test_fewest_right_answers_are_those_of_the_table(test: Test, table: str) -> None:
    """Every printed figure is found again."""
    (_, *levels), *rows = csv.reader((DATA / table).read_text(encoding='utf-8').splitlines())
    expected = [[int(right) if right else None for right in row] for row in rows]
    assert len(expected) > 35
    assert expected == [
        [row[0], *(fewest_right(int(row[0] or 0), test, float(level)) for level in levels)]
        for row in expected
    ]
