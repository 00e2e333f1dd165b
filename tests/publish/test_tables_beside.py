"""The CSV tables of what is told beside the main estimate."""

from __future__ import annotations

import pytest
from tests.publish.sample import sample
from tests.publish.whole import WINES, found, frame

from halfpoint.estimate.findings import Findings
from halfpoint.publish.export.tables_beside import tables_beside


@pytest.fixture(scope='module')
def whole() -> Findings:
    """Everything of the usual table."""
    return found(frame())


def test_a_table_for_each_side(whole: Findings) -> None:
    """Bottles, tasters, scale use, the panel, words and finish, each row as wide as its header."""
    made = tables_beside(whole)
    names = ('suspect_bottles', 'tasters', 'scale_use', 'panel', 'decisions', 'terms', 'finish')
    assert [f'{name}.csv' for name in names] == list(made)
    for header, rows in made.values():
        widths = {len(tuple(row)) for row in rows}
        assert {len(header)} == widths


def test_nothing_beside_makes_no_table() -> None:
    """A result of the main estimate alone has none of them."""
    assert {} == tables_beside(sample())


def test_figures_are_those_of_the_findings(whole: Findings) -> None:
    """Severity with its interval, and the count of a word for each wine."""
    made = tables_beside(whole)
    header, rows = made['tasters.csv']
    first = dict(zip(header, next(iter(rows)), strict=True))
    severity = whole.by_taster[0].severity
    assert severity is not None
    assert (severity.value, severity.low, severity.high) == (
        first['severity'], first['severity_low'], first['severity_high'],
    )  # fmt: skip
    assert whole.aroma is not None
    header, rows = made['terms.csv']
    term = dict(zip(header, next(iter(rows)), strict=True))
    assert whole.aroma.terms[0].counts == tuple(term[wine] for wine in WINES)
