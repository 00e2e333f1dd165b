"""What is said of the panel as a whole.

The coefficients themselves are held against published numbers in tests/published.
"""

from __future__ import annotations

import numpy as np
import polars as pl
import pytest
from scipy.stats import friedmanchisquare, pearsonr
from tests.publish.whole import MARKS, WINES, found, frame

from halfpoint.estimate.findings import Findings
from halfpoint.estimate.result import About, Model
from halfpoint.panel.said import PanelFindings
from halfpoint.publish.whole_result import whole_result


@pytest.fixture(scope='module')
def whole() -> Findings:
    """Sixteen tasters in four rooms, every wine marked by all."""
    return found(frame())


@pytest.fixture(scope='module')
def panel(whole: Findings) -> PanelFindings:
    """What is said of that panel."""
    assert whole.panel is not None
    return whole.panel


def test_kendall_is_friedman(panel: PanelFindings) -> None:
    """Kendall's chi square over complete tasters is Friedman's, as SciPy has it."""
    table = frame().pivot('wine', index='taster', values='total').select(WINES).to_numpy()
    expected = friedmanchisquare(*table.T)
    assert panel.concordance is not None
    assert pytest.approx(expected.statistic) == panel.concordance.chi_square
    assert pytest.approx(expected.pvalue) == panel.concordance.p
    assert (16, 3) == (panel.concordance.tasters, panel.concordance.df)


def test_average_measures_are_stepped_up_single_ones(panel: PanelFindings) -> None:
    """Averages of k follow from one taster by Spearman and Brown (1910)."""
    forms = {form.form: form.value for form in panel.intraclass}
    for single, mean in (('ICC(C,1)', 'ICC(C,k)'), ('ICC(A,1)', 'ICC(A,k)')):
        one = forms[single]
        assert pytest.approx(16 * one / (1 + 15 * one)) == forms[mean]


def test_reliability_grows_with_rooms_and_tasters(panel: PanelFindings) -> None:
    """More of either never lowers it, and the level is never surer than the order."""
    by_size = {(d.sites, d.tasters): d for d in panel.decisions}
    for (sites, tasters), found_here in by_size.items():
        assert found_here.absolute <= found_here.relative + 1e-12
        more = [by_size[s, t] for s, t in by_size if s >= sites and t >= tasters]
        assert all(found_here.relative <= each.relative + 1e-12 for each in more)


def test_sources_are_never_used_below_nothing(panel: PanelFindings) -> None:
    """Where nothing comes out below zero, what is told of a component is what is used."""
    assert min(source.estimate for source in panel.sources) >= 0.0
    assert all(s.estimate == pytest.approx(s.variance, rel=1e-4) for s in panel.sources)


@pytest.mark.parametrize('sites', [1, 2])
def test_a_source_below_nothing_is_told(sites: int) -> None:
    """Tasters who differ less than chance would have it: told below zero, used as zero."""
    # By hand from mean squares: a taster's is (MS of tasters - MS of the rest) / wines.
    wine, taster = np.indices((6, 8)).reshape(2, -1)
    rng = np.random.default_rng(4)
    marks = 12 + wine + rng.normal(0, 1, wine.size)
    for one in range(8):
        marks[taster == one] += 14.5 - marks[taster == one].mean() + 0.01 * one
    columns = {'taster': taster.astype(str), 'wine': wine.astype(str), 'total': marks}
    table = pl.DataFrame(columns).with_columns(site=pl.lit('all') if sites == 1 else None)
    if sites == 2:
        table = table.with_columns(site=pl.Series((taster % 2).astype(str)))
    told = whole_result(table, MARKS[:1], Model(), About("", "", "")).panel
    assert told is not None
    by_name = {source.source: source for source in told.sources}
    severe = by_name['site × taster']
    assert severe.estimate < -0.05
    assert severe.variance == 0.0
    cube = marks.reshape(6, 8)
    parts = [cube] if sites == 1 else [cube[:, 0::2], cube[:, 1::2]]
    between = sum(6 * np.square(p.mean(axis=0) - p.mean()).sum() for p in parts) / (8 - sites)
    rest = sum(np.square(p - p.mean(axis=0) - p.mean(axis=1)[:, None] + p.mean()).sum()
               for p in parts) / (5 * (8 - sites))  # fmt: skip
    assert pytest.approx((between - rest) / 6) == severe.estimate
    assert pytest.approx(rest) == by_name['wine × site × taster'].estimate


def test_rooms_of_unlike_size_have_no_mean_squares() -> None:
    """What is told of a component is then what is used."""
    told = found(frame(tasters=15, sites=4)).panel
    assert told is not None
    assert all(source.estimate == source.variance for source in told.sources)


def test_no_second_pours_are_said(panel: PanelFindings) -> None:
    """Without a wine poured twice to anybody, a note says that repeatability is not told."""
    said = "Nobody was poured a wine twice, so how closely tasters repeat themselves is not told."
    assert said in panel.notes
    again = frame().filter(pl.col('taster') == 'T00').head(1)
    twice = found(pl.concat([frame(), again])).panel
    assert twice is not None
    assert said not in twice.notes


def test_facets_name_wines_and_categories(panel: PanelFindings) -> None:
    """Every wine and category has its place and how regularly it was marked."""
    assert set(WINES) == {facet.name for facet in panel.wine_facet}
    assert ["Nose", "Mouth"] == [facet.name for facet in panel.category_facet]
    assert all(facet.infit is not None and facet.infit > 0 for facet in panel.wine_facet)


def test_missing_marks_are_said() -> None:
    """Kendall's W then rests on the complete tasters, and a note says how many they are."""
    table = frame().filter((pl.col('taster') != 'T00') | (pl.col('wine') != WINES[0]))
    panel = found(table).panel
    assert panel is not None
    assert (16, 15) == (panel.tasters, panel.complete_tasters)
    assert panel.notes[0].startswith("15 of 16 tasters marked every wine;")
    assert {None} == {form.low for form in panel.intraclass}


def test_agreement_is_drawn_towards_the_panel(whole: Findings) -> None:
    """Four wines say little of one taster: correlations are drawn well together."""
    table = frame(tasters=16)
    marks = table.pivot('wine', index='taster', values='total').sort('taster')
    cells = marks.select(WINES).to_numpy()
    plain = [
        pearsonr(cells[i], np.delete(cells, i, axis=0).mean(axis=0)).statistic
        for i in range(len(cells))
    ]
    told = [taster.agreement.value for taster in whole.by_taster if taster.agreement is not None]
    assert np.std(told) < 0.5 * np.std(plain)
    assert min(plain) < np.mean(told) < 1.0
