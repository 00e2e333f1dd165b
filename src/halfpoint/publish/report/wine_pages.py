"""A page a wine: its score among the others, its places, categories and words."""

from __future__ import annotations

from halfpoint.aroma.said import AromaFindings, AromaWine
from halfpoint.estimate.findings import Findings, MarkFindings, WineFinding
from halfpoint.publish.charts.among import among_chart
from halfpoint.publish.charts.bars import Bar, bars_chart
from halfpoint.publish.charts.one_wine import wine_chart
from halfpoint.publish.charts.ranks import chances_chart
from halfpoint.publish.charts.svg import to_svg_soon
from halfpoint.publish.numbers import number, percent, signed
from halfpoint.publish.report.blocks import (
    Block,
    bullets,
    heading,
    new_page,
    paragraph,
    picture,
    side_by_side,
)
from halfpoint.publish.standing import with_figures
from halfpoint.publish.wine_words import (
    bottles_in_words,
    categories_in_words,
    faults_in_words,
    finish_in_words,
    standing_in_words,
    who_marked,
)
from halfpoint.publish.words import spoken

MOST_PAGES = 24
_MOST_CATEGORIES = 8
_WORDS = 6
_SIDE_HEIGHT = 152


def wine_pages(findings: Findings) -> list[Block]:
    """The pages, best wine first; with many wines a sentence in their place."""
    marks = findings.total
    wines = with_figures(marks)
    if not findings.connected or len(wines) < 2:
        return []
    if len(wines) > MOST_PAGES:
        text = (
            f"With {len(wines):,} wines the pages wine by wine are left out; "
            "the JSON and CSV files have everything on each."
        )
        return [heading("Wine by wine"), paragraph(text)]
    return [block for wine in wines for block in _page(findings, wine, wines)]


def has_pages(findings: Findings) -> bool:
    """Whether each wine has its page."""
    return findings.connected and 2 <= len(with_figures(findings.total)) <= MOST_PAGES


def _page(findings: Findings, wine: WineFinding, wines: tuple[WineFinding, ...]) -> list[Block]:
    said = _said(findings.aroma, wine.wine)
    return [
        new_page(),
        heading(spoken(wine.wine)),
        paragraph(standing_in_words(findings.total, wine)),
        _among(wine, wines),
        *_places_and_words(wine, findings.aroma, said),
        *_categories(wine, list(findings.categories.values())[:_MOST_CATEGORIES]),
        bullets(_further(findings, wine, said)),
    ]


def _said(aroma: AromaFindings | None, wine: str) -> AromaWine | None:
    if aroma is None:
        return None
    return next((w for w in aroma.wines if w.wine == wine and not w.withheld), None)


def _among(wine: WineFinding, wines: tuple[WineFinding, ...]) -> Block:
    caption = (
        "Its score, the middle 50\u202f% and the 95\u202f% interval. "
        "The numbered ticks are the other wines, by place."
    )
    alt = f"Score of {spoken(wine.wine)}: {number(wine.adjusted)}, among the other wines."
    return picture(to_svg_soon(among_chart(wines, wine.wine)), alt, caption)


def _places_and_words(
    wine: WineFinding, aroma: AromaFindings | None, said: AromaWine | None
) -> list[Block]:
    cards = []
    if wine.rank_probability:
        cards.append(_places(wine))
    words = [] if aroma is None or said is None else _bars(aroma, said)
    if words:
        cards.append(_words(wine.wine, words))
    if len(cards) == 2:
        return [side_by_side([cards[0]], [cards[1]])]
    return [side_by_side(cards, [])] if cards else []


def _places(wine: WineFinding) -> Block:
    alt = "Chance of each place: " + ', '.join(
        f"{place}: {percent(chance)}"
        for place, chance in enumerate(wine.rank_probability, 1)
        if chance >= 0.03
    )
    chart = chances_chart(wine.rank_probability, height=_SIDE_HEIGHT)
    return picture(
        to_svg_soon(chart),
        alt,
        "The places it may hold, with the chance of each in per cent, all wines' scores weighed.",
    )


def _bars(aroma: AromaFindings, said: AromaWine) -> list[Bar]:
    """The wine's own words first, then the most ticked."""
    place = [wine.wine for wine in aroma.wines].index(said.wine)
    others = sum(w.entries for i, w in enumerate(aroma.wines) if i != place and not w.withheld)
    terms = {term.key: term for term in aroma.terms if term.kind != 'fault'}
    own = [key for key in said.marked if key in terms]
    chosen = [*own, *(key for key in said.terms if key in terms and key not in own)][:_WORDS]
    bars = []
    for key in chosen:
        counts = terms[key].counts
        elsewhere = sum(count or 0 for i, count in enumerate(counts) if i != place)
        against = elsewhere / others if others else None
        here = (counts[place] or 0) / max(said.entries, 1)
        bars.append(Bar(terms[key].label, here, against, key in own))
    return sorted(bars, key=lambda bar: (not bar.strong, -bar.share))


def _words(wine: str, bars: list[Bar]) -> Block:
    caption = "Share of its sheets with the word; the small line is that of the other wines."
    if any(bar.strong for bar in bars):
        caption += " Bold: its own."
    alt = f"Words for {spoken(wine)}: " + ', '.join(
        f"{bar.label} {percent(bar.share)}" for bar in bars
    )
    return picture(to_svg_soon(bars_chart(bars, least=_SIDE_HEIGHT)), alt, caption)


def _categories(wine: WineFinding, categories: list[MarkFindings]) -> list[Block]:
    if not categories:
        return []
    caption = (
        "Each category on its ruler: ring and bars for this wine, the triangle for the average of "
        "all the wines; at the right the score, and how far it is from that average."
    )
    alt = f"{spoken(wine.wine)} by category: " + ', '.join(
        f"{category.label} {number(_score(category, wine.wine), 2)}" for category in categories
    )
    told = categories_in_words(wine.wine, categories)
    before = [paragraph(told)] if told else []
    return [*before, picture(to_svg_soon(wine_chart(wine.wine, categories)), alt, caption)]


def _score(category: MarkFindings, wine: str) -> float | None:
    return next((each.adjusted for each in category.wines if each.wine == wine), None)


def _further(findings: Findings, wine: WineFinding, said: AromaWine | None) -> list[str]:
    moved = None if wine.adjusted is None else wine.adjusted - wine.raw_mean
    weighed = (
        f"Marked by {who_marked(wine)}; plain average {number(wine.raw_mean, 2)}, "
        f"moved by weighing {signed(moved, 2)}."
    )
    told = [weighed]
    if said is not None and findings.aroma is not None:
        told += [s for s in (finish_in_words(said), faults_in_words(findings.aroma, said)) if s]
    return [*told, *bottles_in_words(findings, wine.wine)]
