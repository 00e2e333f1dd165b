"""What is said of ticks, seconds and remarks.

Cochran's Q, the map and what a word goes with are held against published numbers in
tests/published.
"""

from __future__ import annotations

import numpy as np
import polars as pl
import pytest
from scipy.stats import fisher_exact
from tests.publish.whole import WINES, WORDS, frame

from halfpoint.aroma.describe import describe_aroma
from halfpoint.aroma.said import AromaFindings


@pytest.fixture(scope='module')
def aroma() -> AromaFindings:
    """Of the usual table."""
    found = describe_aroma(frame(), WORDS, least=1)
    assert found is not None
    return found


def test_counts_are_those_of_the_sheets(aroma: AromaFindings) -> None:
    """Ticks by wine, in the order of the wines."""
    lime = next(term for term in aroma.terms if term.key == 'lime')
    table = frame().with_columns(has=pl.col('terms').list.contains('lime'))
    expected = [table.filter(pl.col('wine') == w.wine)['has'].sum() for w in aroma.wines]
    assert (tuple(expected), sum(expected)) == (lime.counts, lime.ticked)


def test_own_words_are_clear_by_the_exact_test(aroma: AromaFindings) -> None:
    """A wine's own words are those that SciPy's one-sided exact test finds, all words at once."""
    entries = 16
    for place, wine in enumerate(aroma.wines):
        for term in aroma.terms:
            here = term.counts[place] or 0
            table = [[here, entries - here],
                     [term.ticked - here, 3 * entries - term.ticked + here]]  # fmt: skip
            p = fisher_exact(table, alternative='greater').pvalue
            if term.key in wine.marked:
                assert p <= 0.05
            elif here:
                # Benjamini and Hochberg over at most four words a wine.
                assert p > 0.05 / 4


def test_finish_is_the_median(aroma: AromaFindings) -> None:
    """Seconds are NumPy's median, within the interval."""
    seconds = frame().filter(pl.col('wine') == WINES[1])['finish_seconds'].to_numpy()
    wine = next(each for each in aroma.wines if each.wine == WINES[1])
    assert (float(np.median(seconds)), 16) == (wine.finish, wine.timed)
    assert wine.finish_low is not None
    assert wine.finish_low <= (wine.finish or 0.0)


def test_remarks_are_counted_beside_and_never_as_ticks(aroma: AromaFindings) -> None:
    """`limes` is taken for lime as it was written; the ticks stay what they were."""
    assert ('lime', 'limes', 4) in [(r.key, r.written, r.count) for r in aroma.remarks]


def test_faults_are_not_on_the_map(aroma: AromaFindings) -> None:
    """Wines and words have their places; faults do not."""
    assert aroma.map is not None
    assert set(WINES) == {wine.name for wine in aroma.map.wines}
    assert "cork" not in {term.name for term in aroma.map.terms}


def test_words_of_everybody_and_nobody_are_said(aroma: AromaFindings) -> None:
    """A word on every sheet tells nothing and is named; words on none are counted."""
    never = "One word of the sheet was ticked by nobody."
    assert (never,) == aroma.notes
    both = frame().with_columns(terms=pl.col('terms').list.concat(pl.lit(['always'])))
    found = describe_aroma(both, WORDS, least=1)
    assert found is not None
    always = "Ticked on every sheet, which tells no wine from another: always."
    assert (always, never) == found.notes
    term = next(each for each in found.terms if each.key == 'always')
    assert (64, None, None, None) == (term.ticked, term.q, term.p, term.change)


def test_few_entries_are_withheld() -> None:
    """Of a wine with fewer entries than the least nothing is told, and a note says so."""
    table = frame().filter((pl.col('wine') != WINES[0]) | (pl.col('taster') < 'T03'))
    found = describe_aroma(table, WORDS, least=5)
    assert found is not None
    first = found.wines[0]
    assert (3, True, (), (), None) == (
        first.entries, first.withheld, first.terms, first.marked, first.finish,
    )  # fmt: skip
    assert "One wine has fewer than 5 entries, so nothing is told of it here." in found.notes


def test_nothing_ticked_says_nothing() -> None:
    """Entries without ticks, seconds or remarks have no aromas."""
    assert describe_aroma(frame().select('taster', 'wine', 'total'), WORDS) is None
