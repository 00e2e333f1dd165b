"""The charts of a wine's page, of the panel, and of words."""

from __future__ import annotations

import re

import pytest
from tests.publish.sample import sample

from halfpoint.aroma.said import MapFinding, Place
from halfpoint.panel.said import DecisionFinding
from halfpoint.publish.charts.among import among_chart
from halfpoint.publish.charts.bars import Bar, bars_chart
from halfpoint.publish.charts.decisions import decisions_chart
from halfpoint.publish.charts.intervals import Ranged, intervals_chart
from halfpoint.publish.charts.labels import box_of, place_labels
from halfpoint.publish.charts.one_wine import wine_chart
from halfpoint.publish.charts.parts import parts_chart
from halfpoint.publish.charts.ranks import chances_chart
from halfpoint.publish.charts.svg import to_svg
from halfpoint.publish.charts.word_map import map_chart
from halfpoint.publish.standing import ordered


def words(svg: str) -> list[str]:
    """The texts of a picture."""
    return re.findall(r'<text[^>]*>([^<]*)</text>', svg)


def test_a_wine_stands_among_the_others_by_their_places() -> None:
    """The others are numbered by place; the wine itself has its score and no number."""
    wines = ordered(sample().total)
    told = words(to_svg(among_chart(wines, wines[2].wine)))
    assert {'1', '2', '4', '5', '6', '7', '8'} <= set(told)
    assert '3' not in told
    assert f'{wines[2].adjusted:.1f}' in told


def test_categories_of_a_wine_have_score_and_distance() -> None:
    """Each category has a row; one without a score says so."""
    categories = list(sample().categories.values())
    told = words(to_svg(wine_chart(categories[0].wines[0].wine, categories)))
    assert {category.label for category in categories} <= set(told)
    assert "too few marks" not in told
    assert len(categories) == words(to_svg(wine_chart('nobody', categories))).count("too few marks")


def test_chances_are_numbered() -> None:
    """Places with three chances in a hundred or more carry their per cent."""
    told = words(to_svg(chances_chart((0.71, 0.28, 0.01))))
    assert {'71', '28'} <= set(told)
    assert 1 == told.count('1')


def test_shares_are_told_in_per_cent() -> None:
    """A bar has its label and share, whatever it is held against."""
    told = words(to_svg(bars_chart([Bar("lime", 0.48, 0.06, strong=True), Bar("hay", 0.0)])))
    assert {"lime", "hay", "48\u202f%"} <= set(told)


def test_parts_are_named() -> None:
    """Each part has its name and share."""
    told = words(to_svg(parts_chart([("the wine", 0.25), ("the room", 0.01), ("left", 0.74)])))
    assert ["left 74\u202f%", "the room 1\u202f%", "the wine 25\u202f%"] == sorted(told)


def test_each_number_of_rooms_has_its_line() -> None:
    """Lines are told by name; the tasting itself is marked when it is on the chart."""
    decisions = [
        DecisionFinding(sites, tasters, 1 - 0.5 / (sites * tasters), 0.5)
        for sites in (1, 2, 5)
        for tasters in (1, 4, 24)
    ]
    told = words(to_svg(decisions_chart(decisions, (6.0, 0.9))))
    assert {"1\u00a0room", "2\u00a0rooms", "5\u00a0rooms", "this tasting"} <= set(told)
    assert "this tasting" not in words(to_svg(decisions_chart(decisions, (80.0, 0.9))))


def test_a_figure_without_an_interval_is_drawn() -> None:
    """A row without ends keeps its dot and its text."""
    rows = [Ranged("Alder", 14.0, None, None, "14 s"), Ranged("Beech", 12.0, 10.0, 15.0, "12 s")]
    assert {"Alder", "Beech", "14 s", "12 s"} <= set(words(to_svg(intervals_chart(rows))))


@pytest.mark.parametrize('count', [2, 12, 40])
def test_labels_seldom_stand_on_one_another(count: int) -> None:
    """On a grid with room enough no two labels share any ground."""
    names = [(f'word {i}', 60.0 + 90 * (i % 6), 40.0 + 60 * (i // 6)) for i in range(count)]
    made = place_labels(names, 11.0, (0.0, 0.0, 640.0, 520.0), [])
    boxes = [box_of(label.text, *label.middle, 11.0) for label in made]
    for i, a in enumerate(boxes):
        for b in boxes[:i]:
            assert min(a[2], b[2]) <= max(a[0], b[0]) or min(a[3], b[3]) <= max(a[1], b[1])


def test_the_map_names_wines_and_words() -> None:
    """Names, or the numbers that wines are called by; no ellipse is needed."""
    places = (Place('Alder', -1.0, 0.2, 0.2, 0.1, 0.4), Place('Beech', 1.0, 0.1, None, None, None))
    terms = (Place('lime', -0.9, 0.3, None, None, None),)
    found = MapFinding((0.7, 0.3), places, terms, 9.0, 2, 0.01)
    assert {'Alder', 'Beech', 'lime'} <= set(words(to_svg(map_chart(found, {}))))
    assert {'1', '2', 'lime'} <= set(words(to_svg(map_chart(found, {'Alder': '1', 'Beech': '2'}))))
