"""What too few marked is left out, wherever it could be read."""

from __future__ import annotations

import dataclasses
import json

import polars as pl
import pytest
from tests.publish.whole import WINES, found, frame

from halfpoint.estimate.findings import Findings
from halfpoint.publish.export import to_json
from halfpoint.publish.ranked_again import ranked_again
from halfpoint.publish.report import report_pdf
from halfpoint.publish.standing import is_withheld, with_figures
from halfpoint.publish.withheld import NOTHING_TO_COMPARE, withhold
from halfpoint.publish.words import finding

RARE = WINES[3]


@pytest.fixture(scope='module')
def bare() -> Findings:
    """One wine of four was marked by three tasters only, the least being five."""
    table = frame().filter((pl.col('wine') != RARE) | (pl.col('taster') < 'T03'))
    return withhold(found(table, least=5), 5)


def test_the_wine_keeps_its_count_and_nothing_else(bare: Findings) -> None:
    """How many marks there were is told; score, places, letters and averages are not."""
    wine = next(each for each in bare.total.wines if each.wine == RARE)
    assert is_withheld(wine)
    assert (3, None, None, (), '') == (
        wine.marks, wine.adjusted, wine.p_best, wine.rank_probability, wine.letters,
    )  # fmt: skip


def test_no_other_part_tells_of_it(bare: Findings) -> None:
    """Pairs, bottles, suspects, order, scale, panel and words leave it out."""
    text = to_json(bare)
    told = json.loads(text)
    for name in ('pairs', 'bottles', 'suspects', 'scale', 'ordinal', 'panel'):
        assert RARE not in json.dumps(told[name]), name
    assert all(RARE not in json.dumps(told['categories'][key]['ordinal']) for key in ('nose',))
    assert bare.aroma is not None
    place = [wine.wine for wine in bare.aroma.wines].index(RARE)
    assert bare.aroma.wines[place].withheld
    assert {None} == {term.counts[place] for term in bare.aroma.terms}


def test_it_is_said(bare: Findings) -> None:
    """A note names the wine and the least; the finding does not speak of it."""
    assert f"Fewer than 5 marks, so figures are left out: {RARE}." in bare.notes
    assert RARE not in finding(bare)


def test_the_others_have_places_among_themselves(bare: Findings) -> None:
    """Three wines share three places, each with chances that add up to one."""
    left = with_figures(bare.total)
    assert [3, 3, 3] == [len(wine.rank_probability) for wine in left]
    assert [1.0] * 3 == pytest.approx([sum(w.rank_probability) for w in left], abs=1e-4)
    assert pytest.approx(1.0, abs=1e-4) == sum(wine.p_best or 0.0 for wine in left)


def test_places_from_pairs_are_those_of_the_estimate() -> None:
    """With all wines left, differences alone give the chances that the estimate gave."""
    total = found(frame()).total
    again = ranked_again(total.wines, total.pairs, seed=20)
    for before, after in zip(total.wines, again, strict=True):
        assert before.rank_probability == pytest.approx(after.rank_probability, abs=0.01)


def test_places_are_left_out_where_a_pair_is_not_known() -> None:
    """No places are better than guessed ones."""
    total = found(frame()).total
    again = ranked_again(total.wines, total.pairs[1:], seed=20)
    assert {()} == {wine.rank_probability for wine in again}


def test_enough_marks_change_nothing() -> None:
    """Where every wine and every taster has the least or more, the findings are those given."""
    findings = found(frame(tasters=6, sites=2), least=4)
    assert findings is withhold(findings, 4)


def test_tasters_withheld_are_said_to_be() -> None:
    """Sixteen tasters of four marks each have no figures of their own, and a note says so."""
    findings = withhold(found(frame(), least=5), 5)
    assert {(True, None, None)} == {
        (taster.withheld, taster.severity, taster.agreement) for taster in findings.by_taster
    }
    said = "16 of 16 tasters gave fewer than 5 marks, so nothing is told of them one by one."
    assert (said,) == findings.notes


def test_severity_of_a_handful_is_not_drawn() -> None:
    """Counts of tasters by severity are left out where they count fewer tasters than the least."""
    assert found(frame(), least=5).total.severity is not None
    few, enough = (found(frame(tasters=tasters, sites=2), least=5) for tasters in (4, 5))
    assert few.total.severity is not None
    told = withhold(few, 5)
    assert {None} == {each.severity for each in (told.total, *told.categories.values())}
    assert withhold(enough, 5).total.severity is not None


def test_order_of_the_wines_left() -> None:
    """By order alone, the wines left are compared among themselves, one wine with nothing."""
    findings = found(frame(), least=1)
    ordinal = findings.total.ordinal
    assert ordinal is not None
    best = ordinal.wines[0].wine
    # The best by steps is put last by points, so that only without it the orders agree.
    wines = tuple(
        dataclasses.replace(wine, adjusted=0.0, marks=3) if best == wine.wine else wine
        for wine in findings.total.wines
    )
    turned = dataclasses.replace(ordinal, same_order=False)
    total = dataclasses.replace(findings.total, wines=wines, ordinal=turned)
    left = withhold(dataclasses.replace(findings, total=total), 5).total.ordinal
    assert left is not None
    assert best not in [wine.wine for wine in left.wines]
    assert left.same_order
    alone = withhold(found(frame(tasters=4, sites=2), least=5), 5).total.ordinal
    assert alone is not None
    assert (None, NOTHING_TO_COMPARE) == (alone.same_order, alone.sentence)


def test_everything_withheld_is_said_plainly() -> None:
    """A tasting in which no wine has enough marks says so, and the report is made."""
    findings = withhold(found(frame(tasters=4, sites=2), least=5), 5)
    assert "No wine has enough marks to say anything of it." == finding(findings)
    assert report_pdf(findings).startswith(b'%PDF')


def test_a_part_of_a_tasting_withholds_too(bare: Findings) -> None:
    """Groups that no taster joins are held to the same least."""
    part = dataclasses.replace(bare, total=found(frame(tasters=4)).total)
    assert all(is_withheld(wine) for wine in withhold(part, 5).total.wines)


def test_the_report_is_made(bare: Findings) -> None:
    """The report copes with a wine that has no figures."""
    assert report_pdf(bare).startswith(b'%PDF')
