"""What is said of each taster."""

from __future__ import annotations

import polars as pl
import pytest
from tests.publish.whole import WINES, found, frame

from halfpoint.panel.said import TasterFinding


def told(table: pl.DataFrame, least: int = 1) -> dict[str, TasterFinding]:
    """The records by taster."""
    return {taster.taster: taster for taster in found(table, least=least).by_taster}


def test_a_severe_taster_is_told_so() -> None:
    """Two points less for every wine show as severity of the right sign, drawn to the panel."""
    less = pl.when(pl.col('taster') == 'T02').then(2.0).otherwise(0.0)
    before, after = told(frame()), told(frame().with_columns(pl.col('total', 'mouth') - less))
    first, then = before['T02'].severity, after['T02'].severity
    assert first is not None
    assert then is not None
    assert 0.5 < then.value - first.value < 2.0
    assert then.low < then.value < then.high


def test_share_of_the_scale_is_from_lowest_to_highest() -> None:
    """The range of a taster's totals over that of the sheet, 0 to 20."""
    table = frame()
    own = table.filter(pl.col('taster') == 'T04').get_column('total').to_numpy()
    assert pytest.approx((own.max() - own.min()) / 20.0) == told(table)['T04'].scale_used


def test_complete_is_of_the_wines_poured_in_the_room() -> None:
    """A wine that a room never poured is not missing from its tasters' records."""
    table = frame().filter(~((pl.col('site') == 'S3') & (pl.col('wine') == WINES[0])))
    some = told(table.filter((pl.col('taster') != 'T01') | (pl.col('wine') != WINES[1])))
    assert (1.0, 0.75) == (some['T03'].complete, some['T01'].complete)


def test_second_pours_tell_repeatability() -> None:
    """Marks given again with a known difference: the standard deviation is difference over √2."""
    table = frame()
    again = table.with_columns(pl.col('total', 'mouth') + 1.0)
    record = told(pl.concat([table, again]))['T06']
    assert 4 == record.second_pours
    assert pytest.approx(1.0 / 2**0.5, rel=1e-6) == record.repeatability
    assert record.discrimination_p is not None


def test_below_the_least_nothing_but_counts() -> None:
    """Figures are withheld, and it is said; how many marks there were stays."""
    records = told(frame(), least=5)
    for record in records.values():
        assert record.withheld
        assert 4 == record.marks
        figures = (record.severity, record.spread, record.noise, record.telling,
                   record.agreement, record.scale_used, record.infit, record.outfit)  # fmt: skip
        assert (None,) * len(figures) == figures
