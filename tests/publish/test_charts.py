"""The charts as pictures."""

from __future__ import annotations

import dataclasses
import xml.etree.ElementTree as ET
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.publish.sample import NAMES, sample

from halfpoint.estimate.findings import BottleFinding
from halfpoint.publish.charts.adjustment import adjustment_chart
from halfpoint.publish.charts.bottles import bottles_chart, stands_apart
from halfpoint.publish.charts.categories import categories_chart
from halfpoint.publish.charts.drawing import Drawing, fold
from halfpoint.publish.charts.ranks import places_ruler, rank_chart
from halfpoint.publish.charts.ruler import ruler_over, sheet_ruler
from halfpoint.publish.charts.scores import brackets, half_interval, scores_chart
from halfpoint.publish.charts.severity import severity_chart
from halfpoint.publish.charts.svg import to_svg

FINDINGS = sample()
TOTAL = FINDINGS.total
WINES = TOTAL.wines


def texts(drawing: Drawing) -> list[str]:
    """All texts of the picture; fails when it is not well-formed."""
    root = ET.fromstring(to_svg(drawing))
    assert root.tag.endswith('svg')
    return [''.join(node.itertext()) for node in root.iter() if node.tag.endswith('}text')]


@pytest.mark.parametrize(
    'draw',
    [
        lambda: scores_chart(WINES),
        lambda: rank_chart(WINES),
        lambda: adjustment_chart(WINES),
        lambda: bottles_chart(TOTAL.bottles, NAMES, 1.0),
        lambda: categories_chart(NAMES, list(FINDINGS.categories.values())),
    ],
    ids=['scores', 'ranks', 'adjustment', 'bottles', 'categories'],
)
def test_every_chart_names_every_wine(draw: Callable[[], Drawing]) -> None:
    """Wines are told apart by their label, so each label is there."""
    assert set(NAMES) <= set(texts(draw()))


def test_scores_are_written_beside_their_intervals() -> None:
    """The score stands in figures, and the ruler is numbered at whole points."""
    found = texts(scores_chart(WINES))
    assert {'15.6', '12.8', '12', '16'} <= set(found)


def test_a_bottle_that_stands_apart_is_named() -> None:
    """The room of a bottle far from the others is written out."""
    assert 'Millbrook' in texts(bottles_chart(TOTAL.bottles, NAMES, 1.0))


def test_standing_apart_takes_size_and_certainty() -> None:
    """A bottle needs both the least size and three standard errors."""
    assert stands_apart(BottleFinding('s', 'w', -1.2, 0.3), 1.0)
    assert not stands_apart(BottleFinding('s', 'w', -1.2, 0.5), 1.0)
    assert not stands_apart(BottleFinding('s', 'w', -0.9, 0.1), 1.0)


def test_severity_counts_are_written_on_the_bars() -> None:
    """Each class of tasters carries its count."""
    assert TOTAL.severity is not None
    found = texts(severity_chart(TOTAL.severity))
    assert {'25', '24', "the average taster"} <= set(found)


def test_a_hostile_name_is_only_a_label() -> None:
    """Markup in a name is text in the picture, not markup."""
    wines = [dataclasses.replace(WINES[0], wine='<script>&"</svg>'), *WINES[1:]]
    assert '<script>&"</svg>' in texts(scores_chart(wines))


def test_a_missing_score_leaves_its_row_empty() -> None:
    """A wine without an adjusted score keeps its label and has no mark."""
    bare = dataclasses.replace(WINES[0], adjusted=None, se=None, low=None, high=None)
    found = texts(scores_chart([bare, *WINES[1:]]))
    assert NAMES[0] in found
    assert '15.6' not in found


def test_sixty_wines_fit_a_page() -> None:
    """The rows of sixty wines stay within the height of a page of US Letter."""
    assert scores_chart(sample(60, sites=()).total.wines).height <= 740


def test_brackets_join_wines_that_share_a_letter() -> None:
    """Each letter is one bracket; overlapping ones lie in lanes of their own."""
    found = brackets(['a', 'ab', 'b', 'c'])
    assert [('a', (0, 1), 0), ('b', (1, 2), 1), ('c', (3,), 0)] == found


def test_the_middle_half_is_from_students_t() -> None:
    """0.75 quantile of t at 10 degrees of freedom is 0.700 (any table of Student's t)."""
    wine = dataclasses.replace(WINES[0], se=1.0, df=10.0)
    assert half_interval(wine) == pytest.approx(0.700, abs=5e-4)


def test_the_ruler_of_a_category_has_whole_points_and_halves() -> None:
    """From 0 to 3: long at 0, 1, 2, 3 and short at the halves."""
    ruler = sheet_ruler(0, 3)
    assert (0, 1, 2, 3) == ruler.long
    assert (0.5, 1.5, 2.5) == ruler.short
    assert ('0', '1', '2', '3') == ruler.labels


def test_a_narrow_ruler_numbers_the_halves() -> None:
    """Where two points fill the ruler, halves are long and written as ½."""
    assert ('14½', '15', '15½', '16') == ruler_over([14.6, 15.9]).labels[-4:]


@given(st.lists(st.floats(-1e4, 1e4), min_size=1, max_size=20))
def test_a_ruler_holds_its_values_and_is_never_crowded(values: list[float]) -> None:
    """Every value lies on the ruler; there are two to a dozen numbered ticks."""
    ruler = ruler_over(values)
    reach = 1e-6 * max(1.0, ruler.high - ruler.low)
    assert ruler.low - reach <= min(values) <= max(values) <= ruler.high + reach
    assert ruler.low < ruler.high
    assert 1 <= len(ruler.long) <= 12


@pytest.mark.parametrize('places', [1, 2, 8, 60, 500, 1100])
def test_places_are_numbered_from_first_to_near_last(places: int) -> None:
    """Place one is always numbered, and no more than about twenty are."""
    ruler = places_ruler(places)
    assert '1' == ruler.labels[0]
    assert len(ruler.labels) <= 22


def test_long_names_fold_and_are_cut() -> None:
    """A label takes at most its lines, and says where it was cut."""
    folded = fold('A very long name of a wine from a very small village', 20, 2)
    assert 2 == len(folded)
    assert folded[-1].endswith('…')
    assert ['(no name)'] == fold(' \n', 20, 1)
