"""The blocks about the wines: scores, places, pairs, categories."""

from __future__ import annotations

from collections.abc import Sequence

from halfpoint.estimate.findings import Findings, MarkFindings, PairFinding, WineFinding
from halfpoint.publish.charts.adjustment import adjustment_chart
from halfpoint.publish.charts.categories import cards_a_page, categories_chart
from halfpoint.publish.charts.drawing import MOST_ROWS
from halfpoint.publish.charts.ranks import MOST_NUMBERED, rank_chart
from halfpoint.publish.charts.scores import scores_chart
from halfpoint.publish.charts.svg import to_svg_soon
from halfpoint.publish.numbers import chance, decimals_for, interval, number, percent, signed
from halfpoint.publish.report.blocks import Block, heading, paragraph, picture, table
from halfpoint.publish.standing import is_told_apart, ordered
from halfpoint.publish.words import how_sure, spoken

_EACH_END = 20
_MOST_IN_MATRIX = 10
_MOST_CARDS = 12


def shown_wines(marks: MarkFindings) -> tuple[tuple[WineFinding, ...], int]:
    """The wines the report shows, best first, and how many between them it leaves out."""
    wines = ordered(marks)
    if len(wines) <= MOST_ROWS:
        return wines, 0
    return wines[:_EACH_END] + wines[-_EACH_END:], len(wines) - 2 * _EACH_END


def scores_picture(marks: MarkFindings) -> list[Block]:
    """The chart of scores with its reading."""
    wines, left_out = shown_wines(marks)
    caption = (
        "Score at the average taster, room, bottle and place in the order. "
        "Thick bar 50\u202f%, thin bar 95\u202f%."
    )
    if any(wine.letters for wine in wines):
        caption += " A bracket joins wines the marks cannot tell apart."
    if left_out:
        caption += f" {_left_out(left_out)}"
    alt = "Scores, best first: " + '; '.join(
        f"{spoken(w.wine)} {number(w.adjusted)}" for w in wines[:12]
    )
    chart = scores_chart(wines, _EACH_END if left_out else None)
    return [picture(to_svg_soon(chart), alt, caption)]


def scores_table(marks: MarkFindings) -> list[Block]:
    """The table of scores, and what weighing the marks changed."""
    wines, left_out = shown_wines(marks)
    decimals = decimals_for([wine.se for wine in wines]) + 1
    columns = (
        ("Wine", 'left', '1fr'), ("Score", 'right', 'auto'), ("95\u202f% interval", 'right', 'auto'),
        ("Place\n(90\u202f%)", 'center', 'auto'), ("Best", 'right', 'auto'),
        ("Cannot be\ntold apart", 'left', 'auto'), ("Plain\naverage", 'right', 'auto'),
        ("Tasters", 'right', 'auto'),
    )  # fmt: skip
    rows = [_score_row(wine, decimals) for wine in wines]
    if left_out:
        rows.insert(_EACH_END, [f"… {left_out:,} wines between …", *[''] * 7])
    blocks = [
        heading("Scores"),
        paragraph(
            "Wines that share a letter cannot be told apart. Nine chances in ten are that the "
            "wine's true place lies in the places given; best is its chance of being first."
        ),
        table(columns, rows),
    ]
    if len(wines) >= 2 and not left_out:
        caption = (
            "Ring: the plain average of all marks. Dot: the score, once severe tasters, rooms, "
            "bottles and places in the order are allowed for. At the right, the change."
        )
        alt = "The plain average and the score of each wine."
        blocks += [
            heading("What weighing the marks changed", 2),
            picture(to_svg_soon(adjustment_chart(wines)), alt, caption),
        ]
    return blocks


def _score_row(wine: WineFinding, decimals: int) -> list[str]:
    if wine.rank_low is None or wine.rank_high is None:
        place = number(None)
    elif wine.rank_low == wine.rank_high:
        place = f'{wine.rank_low:,}'
    else:
        place = f"{wine.rank_low:,} to {wine.rank_high:,}"
    return [
        '\u0002' + spoken(wine.wine), number(wine.adjusted, decimals),
        interval(wine.low, wine.high, decimals), place, percent(wine.p_best), wine.letters,
        number(wine.raw_mean, decimals), f'{wine.tasters:,}',
    ]  # fmt: skip


def places(marks: MarkFindings) -> list[Block]:
    """How sure the places are."""
    wines, left_out = shown_wines(marks)
    if not wines[0].rank_probability:
        return []
    first = f"{spoken(wines[0].wine)} is {how_sure(wines[0].p_best)}."
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
    text = (
        f"The marks tell {told:,} of {len(marks.pairs):,} pairs apart, all pairs being asked at "
        "once, so that at most one tasting in twenty would see a difference where there is none."
    )
    blocks = [heading("Wine against wine"), paragraph(text)]
    wines, _ = shown_wines(marks)
    found = {frozenset((pair.a, pair.b)): pair for pair in marks.pairs}
    if len(wines) <= _MOST_IN_MATRIX:
        return [*blocks, *_matrix(wines, found)]
    return [*blocks, *_neighbours(wines, found)]


def _matrix(
    wines: Sequence[WineFinding], found: dict[frozenset[str], PairFinding]
) -> list[Block]:
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
    return f'\u0002{number(ahead, decimals)}' if is_told_apart(pair) else f'({number(ahead, decimals)})'


def _neighbours(
    wines: Sequence[WineFinding], found: dict[frozenset[str], PairFinding]
) -> list[Block]:
    columns = (
        ("Wine", 'left', '1fr'), ("against the next", 'left', '1fr'), ("Ahead by", 'right', 'auto'),
        ("95\u202f%, all pairs at once", 'right', 'auto'), ("p", 'right', 'auto'),
    )  # fmt: skip
    rows = []
    for wine, following in zip(wines[:-1], wines[1:], strict=True):
        pair = found.get(frozenset((wine.wine, following.wine)))
        if pair is not None:
            rows.append(_neighbour_row(pair, wine.wine, following.wine))
    note = "Each wine against the next in the order; the data file has every pair."
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


def categories(findings: Findings) -> list[Block]:
    """What the wines were like, category by category."""
    found = list(findings.categories.values())
    wines, left_out = shown_wines(findings.total)
    if not found or not wines:
        return []
    names = [wine.wine for wine in wines]
    blocks = [heading("Category by category")]
    cards = names if len(names) <= _MOST_CARDS else []
    if cards:
        blocks.append(paragraph(
            "Each wine as a score sheet: the ring is its score in the category, the dark line its "
            "95\u202f% interval, the small triangle the average of all the wines."
        ))  # fmt: skip
    step = cards_a_page(len(found))
    for start in range(0, len(cards), step):
        chosen = cards[start : start + step]
        alt = "Scores in each category of " + ', '.join(map(spoken, chosen))
        blocks.append(picture(to_svg_soon(categories_chart(chosen, found)), alt, card=False))
    blocks += _categories_table(names, found, left_out)
    return blocks


def _categories_table(
    names: Sequence[str], found: Sequence[MarkFindings], left_out: int
) -> list[Block]:
    shown = found[:8]
    columns = [("Wine", 'left', '2fr')]
    columns += [(category.label, 'left', '1fr') for category in shown]
    scores = [{wine.wine: wine for wine in category.wines} for category in shown]
    rows = []
    for name in names:
        rows.append(['\u0002' + spoken(name), *(_category_cell(by.get(name)) for by in scores)])
    if left_out:
        rows.insert(_EACH_END, [f"… {left_out:,} wines between …", *[''] * len(shown)])
    tests = [chance(c.wine_test.p) if c.wine_test else number(None) for c in shown]
    rows.append(["p, were all wines alike", *tests])
    note = "In each column, wines that share a letter cannot be told apart in that category."
    if len(found) > len(shown):
        note += f" The other {len(found) - len(shown)} categories are in the data file."
    return [table(columns, rows), paragraph(note, soft=True)]


def _category_cell(wine: WineFinding | None) -> str:
    if wine is None or wine.adjusted is None:
        return number(None)
    return f'{number(wine.adjusted, 2)}\u2002{wine.letters}'.rstrip()


def _left_out(count: int) -> str:
    return (
        f"The {_EACH_END} highest and the {_EACH_END} lowest are shown; "
        f"{count:,} wines between them are in the data files only."
    )
