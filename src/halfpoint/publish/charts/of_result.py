"""The charts of a result by name, each as an SVG on light or dark ground."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Literal

from halfpoint.estimate.findings import Findings
from halfpoint.publish import palette
from halfpoint.publish.charts.adjustment import adjustment_chart
from halfpoint.publish.charts.bottles import bottles_chart
from halfpoint.publish.charts.categories import cards_a_strip, categories_chart
from halfpoint.publish.charts.drawing import Drawing
from halfpoint.publish.charts.ranks import rank_chart
from halfpoint.publish.charts.scores import scores_chart
from halfpoint.publish.charts.severity import severity_chart
from halfpoint.publish.charts.svg import to_svg
from halfpoint.publish.charts.word_map import map_chart
from halfpoint.publish.report.aroma_page import MOST_MAPPED
from halfpoint.publish.report.panel_page import reliability_drawing
from halfpoint.publish.report.result import shown_wines
from halfpoint.publish.report.sources import least_apart

Theme = Literal['light', 'dark']
# The same roles on dark ground; what carries words meets WCAG AA on the dark card.
_DARK = {
    palette.PAPER: '#12191b', palette.CARD: '#1a2427', palette.INK: '#ecebe4',
    palette.SOFT: '#a6b3b3', palette.LINE: '#364449', palette.MOSS: '#83c6ab',
    palette.CLAY: '#eb9a73', palette.HONEY: '#e9b949', palette.GRID: '#2a363a',
    palette.MIST: '#22392f',
}  # fmt: skip
_COLOUR = re.compile(r'#[0-9a-f]{6}', re.IGNORECASE)


def chart_svg(findings: Findings, name: str, theme: Theme = 'light') -> str | None:
    """A chart as an SVG document; None when the result has nothing to draw in it.

    Args:
        findings: the result.
        name: one of `CHARTS`.
        theme: the ground it will stand on.

    Raises:
        KeyError: there is no chart of this name.
    """
    drawing = CHARTS[name](findings)
    if drawing is None:
        return None
    svg = to_svg(drawing)
    return svg if theme == 'light' else darkened(svg)


def darkened(svg: str) -> str:
    """The same drawing for dark ground."""
    return _COLOUR.sub(lambda found: _DARK.get(found.group().lower(), found.group()), svg)


def _scores(findings: Findings) -> Drawing | None:
    wines, left_out = shown_wines(findings.total)
    if not wines:
        return None
    return scores_chart(wines, len(wines) // 2 if left_out else None)


def _ranks(findings: Findings) -> Drawing | None:
    wines = [wine for wine in shown_wines(findings.total)[0] if wine.rank_probability]
    return rank_chart(wines) if wines else None


def _severity(findings: Findings) -> Drawing | None:
    found = findings.total.severity
    return severity_chart(found) if found is not None and any(found.counts) else None


def _bottles(findings: Findings) -> Drawing | None:
    marks = findings.total
    if not marks.bottles:
        return None
    names = [wine.wine for wine in shown_wines(marks)[0]]
    return bottles_chart(marks.bottles, names, least_apart(marks))


def _categories(findings: Findings) -> Drawing | None:
    found = list(findings.categories.values())
    names = [wine.wine for wine in shown_wines(findings.total)[0]]
    return categories_chart(names[: cards_a_strip(len(found))], found) if found and names else None


def _adjustment(findings: Findings) -> Drawing | None:
    wines = [wine for wine in shown_wines(findings.total)[0] if wine.adjusted is not None]
    return adjustment_chart(wines) if wines else None


def _words(findings: Findings) -> Drawing | None:
    found = None if findings.aroma is None else findings.aroma.map
    return None if found is None or len(found.wines) > MOST_MAPPED else map_chart(found, {})


def _reliability(findings: Findings) -> Drawing | None:
    panel = findings.panel
    return None if panel is None or not panel.decisions else reliability_drawing(findings, panel)


CHARTS: Mapping[str, Callable[[Findings], Drawing | None]] = {
    'scores': _scores,
    'ranks': _ranks,
    'categories': _categories,
    'severity': _severity,
    'bottles': _bottles,
    'adjustment': _adjustment,
    'words': _words,
    'reliability': _reliability,
}
