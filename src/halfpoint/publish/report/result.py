"""The blocks about the wines: scores, places, pairs, categories."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from halfpoint.estimate.findings import Findings, MarkFindings, PairFinding, WineFinding
from halfpoint.publish.charts.adjustment import adjustment_chart
from halfpoint.publish.charts.categories import cards_a_strip, categories_chart
from halfpoint.publish.charts.drawing import MOST_ROWS, Drawing
from halfpoint.publish.charts.ranks import MOST_NUMBERED, rank_chart
from halfpoint.publish.charts.scores import scores_chart
from halfpoint.publish.charts.svg import to_svg_soon
from halfpoint.publish.numbers import chance, decimals_for, interval, number, percent, signed
from halfpoint.publish.report.blocks import Block, heading, paragraph, picture, table
from halfpoint.publish.standing import is_told_apart, ordered, with_figures
from halfpoint.publish.words import how_sure, letters_in_words, spoken

_EACH_END = 20
_MOST_ON_FIRST_PAGE = 24
_ROOM_ON_FIRST_PAGE = 400
_MOST_LETTERS = 4
_MOST_IN_MATRIX = 10
_MOST_CARDS = 12


def shown_wines(marks: MarkFindings) -> tuple[tuple[WineFinding, ...], int]:
    """The wines the report shows, best first, and how many between them it leaves out."""
    wines = ordered(marks)
    if len(wines) <= MOST_ROWS:
        return wines, 0
    return wines[:_EACH_END] + wines[-_EACH_END:], len(wines) - 2 * _EACH_END


def scores_picture(marks: MarkFindings) -> list[Block]:
    """The chart of scores with its reading; nothing where no wine has figures."""
    if not with_figures(marks):
        return []
    wines, left_out = shown_wines(marks)
    if left_out:
        chart = scores_chart(wines, _EACH_END)
        return [_scores(chart, wines, _left_out(left_out))]
    return [_scores(scores_chart(wines), wines)]


def scores_opening(marks: MarkFindings) -> list[Block]:
    """The chart of scores for the first page: only the first wines where there are many.

    Nothing where no wine has figures.
    """
    if not with_figures(marks):
        return []
    wines, _ = shown_wines(marks)
    if len(wines) <= _MOST_ON_FIRST_PAGE:
        return [_scores(scores_chart(wines, room=_ROOM_ON_FIRST_PAGE), wines)]
    first, others = wines[:_EACH_END], wines[_EACH_END:]
    going_on = ''.join(wine.letters for wine in others)
    chart = scores_chart(first, going_on=going_on, room=_ROOM_ON_FIRST_PAGE)
    note = f"These are the first {_EACH_END} of {len(marks.wines):,}; more follow further on."
    return [_scores(chart, first, note)]


def is_opening_cut(marks: MarkFindings) -> bool:
    """Whether the chart of the first page holds only the first wines."""
    return len(marks.wines) > _MOST_ON_FIRST_PAGE


def _scores(chart: Drawing, wines: Sequence[WineFinding], note: str = '') -> Block:
    caption = (
        "Score at the average taster, room, bottle and place in the order. "
        "Thick bar 50\u202f%, thin bar 95\u202f%."
    )
    if any(wine.letters for wine in wines):
        caption += " A bracket joins wines the marks cannot tell apart."
    alt = "Scores, best first: " + '; '.join(
        f"{spoken(w.wine)} {number(w.adjusted)}" for w in wines[:12]
    )
    return picture(to_svg_soon(chart), alt, f"{caption} {note}".rstrip())


def scores_table(marks: MarkFindings, with_picture: bool = False) -> list[Block]:
    """The table of scores, and what weighing the marks changed."""
    wines, left_out = shown_wines(marks)
    blocks = [heading("Scores")]
    if with_picture:
        blocks += scores_picture(marks)
    lettered = any(wine.letters for wine in wines)
    text = (
        "Nine chances in ten are that the wine's true place lies in the places given; "
        "best is its chance of being first."
    )
    shared = "Wines that share a letter cannot be told apart. "
    blocks.append(paragraph(shared + text if lettered else text))
    blocks.append(_scores_rows(wines, left_out, lettered))
    weighed = [wine for wine in wines if wine.adjusted is not None]
    if len(weighed) >= 2 and not left_out:
        blocks += _adjustment(weighed)
    return blocks


def _scores_rows(wines: Sequence[WineFinding], left_out: int, lettered: bool) -> Block:
    decimals = decimals_for([wine.se for wine in wines]) + 1
    columns = [
        ("Wine", 'left', '1fr'), ("Score", 'right', 'auto'),
        ("95\u202f% interval", 'right', 'auto'), ("Place\n(90\u202f%)", 'center', 'auto'),
        ("Best", 'right', 'auto'), ("Plain\naverage", 'right', 'auto'),
        ("Tasters", 'right', 'auto'),
    ]  # fmt: skip
    rows = [_score_row(wine, decimals) for wine in wines]
    if lettered:
        columns.insert(5, ("Cannot be\ntold apart", 'left', 'auto'))
        for row, wine in zip(rows, wines, strict=True):
            row.insert(5, letters_in_words(wine.letters))
    if left_out:
        between = f"… {left_out:,} wines between …"
        rows.insert(_EACH_END, [between, *[''] * (len(columns) - 1)])
    return table(columns, rows)


def _adjustment(wines: Sequence[WineFinding]) -> list[Block]:
    caption = (
        "Ring: the plain average of all marks. Dot: the score, once severe tasters, rooms, "
        "bottles and places in the order are allowed for. At the right, the change."
    )
    alt = "The plain average and the score of each wine."
    return [
        heading("What weighing the marks changed", 2),
        picture(to_svg_soon(adjustment_chart(wines)), alt, caption),
    ]


def _score_row(wine: WineFinding, decimals: int) -> list[str]:
    return [
        '\u0002' + spoken(wine.wine), number(wine.adjusted, decimals),
        interval(wine.low, wine.high, decimals), _places_of(wine), percent(wine.p_best),
        number(wine.raw_mean, decimals), f'{wine.tasters:,}',
    ]  # fmt: skip


def _places_of(wine: WineFinding) -> str:
    if wine.rank_low is None or wine.rank_high is None:
        return number(None)
    if wine.rank_low == wine.rank_high:
        return f'{wine.rank_low:,}'
    return f"{wine.rank_low:,} to {wine.rank_high:,}"


def places(marks: MarkFindings) -> list[Block]:
    """How sure the places are."""
    wines, left_out = shown_wines(marks)
    wines = tuple(wine for wine in wines if wine.rank_probability)
    if not wines:
        return []
    first = f"{spoken(wines[0].wine)} {how_sure(wines[0].p_best)}."
    blocks = [heading("How sure the places are"), paragraph(first)]
    if left_out:
        text = f"With {len(marks.wines):,} wines the places are given in the table of scores only."
        return [*blocks, paragraph(text)]
    caption = "Each bar is as tall as the chance, in per cent, that the wine holds that place."
    if len(wines) > MOST_NUMBERED:
        caption = "Bars show how likely each place is, against the wine's own likeliest place."
    alt = "Chances of each place for each wine; the table of scores has their 90 % intervals."
    return [*blocks, picture(to_svg_soon(rank_chart(wines)), alt, caption)]


def pairs(marks: MarkFindings) -> list[Block]:
    """Which pairs the marks tell apart."""
    if not marks.pairs:
        return []
    told = sum(is_told_apart(pair) for pair in marks.pairs)
    if len(marks.pairs) == 1:
        text = f"The marks {'tell' if told else 'cannot tell'} the two wines apart."
        return [heading("Wine against wine"), paragraph(text), *_neighbours(marks)]
    text = (
        f"The marks tell {told:,} of {len(marks.pairs):,} pairs apart, all pairs being asked at "
        "once, so that at most one tasting in twenty would see a difference where there is none."
    )
    blocks = [heading("Wine against wine"), paragraph(text)]
    if len(marks.wines) <= _MOST_IN_MATRIX:
        return [*blocks, *_matrix(marks)]
    return [*blocks, *_neighbours(marks)]


def _by_wines(marks: MarkFindings) -> dict[frozenset[str], PairFinding]:
    return {frozenset((pair.a, pair.b)): pair for pair in marks.pairs}


def _matrix(marks: MarkFindings) -> list[Block]:
    wines, found = with_figures(marks), _by_wines(marks)
    columns = [("", 'left', '1fr')]
    columns += [(str(place), 'center', '36pt') for place in range(2, len(wines) + 1)]
    rows = []
    for row, wine in enumerate(wines[:-1]):
        cells = [_pair_cell(wine.wine, other.wine, found) for other in wines[row + 1 :]]
        rows.append([f"{row + 1}  {spoken(wine.wine)}", *[''] * row, *cells])
    rows.append([f"{len(wines)}  {spoken(wines[-1].wine)}", *[''] * (len(wines) - 1)])
    note = (
        "Points by which the wine of the row is ahead of the wine of the column. "
        "Bold: told apart. In brackets: the marks cannot tell the two apart."
    )
    return [table(columns, rows), paragraph(note, soft=True)]


def _pair_cell(a: str, b: str, found: dict[frozenset[str], PairFinding]) -> str:
    pair = found.get(frozenset((a, b)))
    if pair is None:
        return number(None)
    ahead = pair.difference if pair.a == a else -pair.difference
    decimals = decimals_for([pair.se])
    text = number(ahead, decimals)
    return f'\u0002{text}' if is_told_apart(pair) else f'({text})'


def _neighbours(marks: MarkFindings) -> list[Block]:
    wines, found = with_figures(marks)[:MOST_ROWS], _by_wines(marks)
    columns = (
        ("Wine", 'left', '1fr'), ("against the next", 'left', '1fr'), ("Ahead by", 'right', 'auto'),
        ("95\u202f%, all pairs at once", 'right', 'auto'), ("p", 'right', 'auto'),
    )  # fmt: skip
    rows = []
    for wine, following in itertools.pairwise(wines):
        pair = found.get(frozenset((wine.wine, following.wine)))
        if pair is not None:
            rows.append(_neighbour_row(pair, wine.wine, following.wine))
    if len(marks.pairs) == 1:
        return [table(columns, rows)]
    note = "Each wine against the next in the order; the data files have every pair."
    return [table(columns, rows), paragraph(note, soft=True)]


def _neighbour_row(pair: PairFinding, a: str, b: str) -> list[str]:
    ahead, low, high = pair.difference, pair.low, pair.high
    if pair.a != a:
        ahead, low, high = -ahead, -high, -low
    bold = '\u0002' if is_told_apart(pair) else ''
    return [
        spoken(a), spoken(b), bold + signed(ahead, 2), interval(low, high, 2),
        bold + chance(pair.p_adjusted),
    ]  # fmt: skip


def categories(findings: Findings, with_cards: bool = True) -> list[Block]:
    """The scores category by category; `with_cards` each wine as a small sheet."""
    found = list(findings.categories.values())
    wines, left_out = shown_wines(findings.total)
    if not found or not wines:
        return []
    names = [wine.wine for wine in wines]
    blocks = [heading("Category by category")]
    blocks += _categories_table(names, found, left_out)
    return blocks + (_cards(names, found) if with_cards and len(names) <= _MOST_CARDS else [])


def _cards(names: Sequence[str], found: Sequence[MarkFindings]) -> list[Block]:
    text = (
        "Each wine as a score sheet: the ring is its score in the category, the dark line its "
        "95\u202f% interval, the small triangle the average of all the wines."
    )
    blocks = [heading("Each wine on the sheet", 2), paragraph(text)]
    step = cards_a_strip(len(found))
    for start in range(0, len(names), step):
        chosen = names[start : start + step]
        alt = "Scores in each category of " + ', '.join(map(spoken, chosen))
        chart = to_svg_soon(categories_chart(chosen, found))
        blocks.append(picture(chart, alt, card=False))
    return blocks


def _categories_table(
    names: Sequence[str], found: Sequence[MarkFindings], left_out: int
) -> list[Block]:
    shown = found[:8]
    columns = [("Wine", 'left', '2fr')]
    columns += [(category.label, 'left', '1fr') for category in shown]
    scores = [{wine.wine: wine for wine in category.wines} for category in shown]
    longest = max((len(w.letters) for by in scores for w in by.values()), default=0)
    lettered = 0 < longest <= _MOST_LETTERS
    rows = []
    for name in names:
        cells = [_category_cell(by.get(name), lettered) for by in scores]
        rows.append(['\u0002' + spoken(name), *cells])
    if left_out:
        rows.insert(_EACH_END, [f"… {left_out:,} wines between …", *[''] * len(shown)])
    tests = [chance(c.wine_test.p) if c.wine_test else number(None) for c in shown]
    rows.append(["p, were all wines alike", *tests])
    note = ""
    if lettered:
        note = "In each column, wines that share a letter cannot be told apart in that category."
    if len(found) > len(shown):
        note += f" The other {len(found) - len(shown)} categories are in the data file."
    return [table(columns, rows), *([paragraph(note.strip(), soft=True)] if note else [])]


def _category_cell(wine: WineFinding | None, lettered: bool) -> str:
    if wine is None or wine.adjusted is None:
        return number(None)
    score = number(wine.adjusted, 2)
    return f'{score}\u2002{wine.letters}' if lettered else score


def _left_out(count: int) -> str:
    return (
        f"The {_EACH_END} highest and the {_EACH_END} lowest are shown; "
        f"{count:,} wines between them are in the data files only."
    )
