"""Everything beside the main estimate, and what it makes of marks that allow little."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from typing import Any

import polars as pl
import pytest
from tests.publish.whole import WINES, found, frame, with_marks

from halfpoint.errors import EstimateError
from halfpoint.estimate.findings import Findings
from halfpoint.publish.beside_words import beside_in_words
from halfpoint.publish.export import to_json
from halfpoint.publish.export.tables import tables
from halfpoint.publish.report import report_pdf


@pytest.fixture(scope='module')
def whole() -> Findings:
    """The result of the usual table."""
    return found(frame())


def said(findings: Findings) -> str:
    """All that the terminal adds, and all that is written, which must be possible."""
    json.loads(to_json(findings))
    for header, rows in tables(findings).values():
        assert all(len(header) == len(tuple(row)) for row in rows)
    return ' '.join(beside_in_words(findings))


def numbers(value: Any) -> Iterator[float]:
    """Every number in a JSON document."""
    if isinstance(value, dict):
        value = list(value.values())
    if isinstance(value, list):
        for inner in value:
            yield from numbers(inner)
    elif isinstance(value, float):
        yield value


def test_every_side_is_told(whole: Findings) -> None:
    """Order, scale use, bottles, panel, tasters and aromas are all there."""
    assert whole.total.ordinal is not None
    assert all(each.ordinal is not None for each in whole.categories.values())
    assert whole.scale is not None
    assert whole.panel is not None
    assert whole.aroma is not None
    assert 16 == len(whole.by_taster)
    assert [('S1', WINES[0])] == [(b.site, b.wine) for b in whole.suspects if b.suggested]


def test_each_side_has_a_sentence(whole: Findings) -> None:
    """The terminal tells order first and words last, and the spoiled bottle between them."""
    told = said(whole)
    assert f"One bottle looks spoiled: {WINES[0]} in S1, " in told
    assert whole.total.ordinal is not None
    assert told.startswith(whole.total.ordinal.sentence)
    assert told.endswith(whole.aroma.sentence if whole.aroma else '')


def test_the_same_seed_says_the_same() -> None:
    """Draws behind ellipses and places repeat."""
    assert to_json(found(frame(tasters=8))) == to_json(found(frame(tasters=8)))


def test_a_step_nobody_used() -> None:
    """Marks that leave out steps between give finite answers, and it is said."""
    table = frame().with_columns((pl.col('total') / 4).round() * 4)
    findings = found(table)
    assert findings.total.ordinal is not None
    assert findings.total.ordinal.wines
    assert said(findings)


def test_a_term_nobody_or_everybody_ticked() -> None:
    """Neither has a test, and neither stops the others."""
    everyone = pl.col('terms').list.concat(pl.lit(['plum'])).list.unique()
    findings = found(frame().with_columns(terms=everyone))
    assert findings.aroma is not None
    by_key = {term.key: term for term in findings.aroma.terms}
    assert 'never' not in by_key
    assert (64, None, None) == (by_key['plum'].ticked, by_key['plum'].q, by_key['plum'].change)
    assert by_key['lime'].q is not None


def test_a_taster_with_one_mark() -> None:
    """The one mark counts; of the taster nothing is told, and it is said to be withheld."""
    table = frame()
    lone = table.filter((pl.col('taster') != 'T05') | (pl.col('wine') == WINES[2]))
    findings = found(lone, least=2)
    taster = next(each for each in findings.by_taster if each.taster == 'T05')
    assert (1, True, None, None) == (
        taster.marks, taster.withheld, taster.severity, taster.agreement,
    )  # fmt: skip
    assert said(findings)


def test_no_second_pours(whole: Findings) -> None:
    """Repeatability and discrimination are left open where nothing was poured twice."""
    assert {(None, None, 0)} == {
        (t.repeatability, t.discrimination_p, t.second_pours) for t in whole.by_taster
    }


def test_two_tasters() -> None:
    """Two tasters give a result in finite numbers, and a report."""
    findings = found(frame(tasters=2, sites=1))
    assert said(findings)
    assert report_pdf(findings).startswith(b'%PDF')


def test_all_agree_perfectly() -> None:
    """The same marks from everybody leave nothing to judge by, and are plainly refused."""
    table = with_marks(frame(), {wine: 12.0 + i for i, wine in enumerate(WINES)})
    with pytest.raises(EstimateError, match="explains every mark without remainder"):
        found(table)


def test_all_alike() -> None:
    """One mark for everything is refused by name."""
    with pytest.raises(EstimateError, match='every mark in "total" is 13'):
        found(with_marks(frame(), dict.fromkeys(WINES, 13.0)))


def test_one_mark_off_perfect_agreement() -> None:
    """All but one mark in agreement: numbers stay finite, and everything can be written."""
    table = with_marks(frame(), {wine: 12.0 + i for i, wine in enumerate(WINES)})
    first = pl.int_range(pl.len()) == 0
    off = {
        name: pl.col(name) + pl.when(first).then(0.5).otherwise(0.0) for name in ('total', 'mouth')
    }
    findings = found(table.with_columns(**off))
    assert all(math.isfinite(number) for number in numbers(json.loads(to_json(findings))))
    assert said(findings)


def test_perfect_separation() -> None:
    """A wine that is always on the top step keeps a finite effect, held in, and it is said."""
    best = pl.col('wine') == WINES[3]
    table = frame().with_columns(
        nose=pl.when(best).then(6.0).otherwise(pl.col('nose').clip(0, 5)),
        mouth=pl.when(best).then(14.0).otherwise(pl.col('mouth').clip(0, 12)),
    )
    findings = found(table.with_columns(total=pl.col('nose') + pl.col('mouth')))
    order = findings.total.ordinal
    assert order is not None
    assert order.wines[0].wine == WINES[3]
    assert order.held_in
    assert all(math.isfinite(wine.effect) and math.isfinite(wine.se) for wine in order.wines)
    assert said(findings)


def test_no_rooms_no_words() -> None:
    """A table of tasters, wines and totals alone leaves out rooms and words, and says no more."""
    findings = found(frame().select('taster', 'wine', 'total', 'nose', 'mouth'))
    assert findings.aroma is None
    assert () == findings.suspects
    assert 'bottle' not in said(findings)


def test_wines_that_no_taster_joins() -> None:
    """Without a joint order, no side that needs one is told."""
    table = frame(tasters=12).filter(
        (pl.col('site') < 'S2') == pl.col('wine').is_in(list(WINES[:2]))
    )
    findings = found(table)
    assert not findings.connected
    assert findings.total.ordinal is None
    assert findings.panel is None
    assert report_pdf(findings).startswith(b'%PDF')
