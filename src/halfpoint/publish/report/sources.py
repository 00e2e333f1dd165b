"""The blocks about what, besides the wine, moved the marks."""

from __future__ import annotations

from halfpoint.estimate.findings import MarkFindings
from halfpoint.publish.charts.bottles import bottles_chart, stands_apart
from halfpoint.publish.charts.severity import severity_chart
from halfpoint.publish.charts.svg import to_svg_soon
from halfpoint.publish.numbers import number, plural, points, signed
from halfpoint.publish.report.blocks import Block, bullets, heading, paragraph, picture, table
from halfpoint.publish.report.result import shown_wines
from halfpoint.publish.words import component_in_words, covariate_in_words, spoken

_SHARE_OF_TOP = 0.05
_MOST_APART = 12


def components(marks: MarkFindings) -> list[Block]:
    """How much each source makes marks differ."""
    if not marks.components:
        return []
    words = [component_in_words(key, part) for key, part in marks.components.items()]
    columns = (
        ("What differs", 'left', '1fr'), ("By about", 'left', 'auto'),
        ("95\u202f% interval, points", 'left', 'auto'),
    )  # fmt: skip
    rows = [[w.label, '\u0002' + w.amount, w.interval] for w in words]
    text = (
        "What makes two marks of the same kind differ, and by how much as a rule "
        "(one standard deviation)."
    )
    return [heading("What moved the marks"), paragraph(text), table(columns, rows, 9)]


def severity(marks: MarkFindings) -> list[Block]:
    """How severe and how mild tasters are, with no one named."""
    if marks.severity is None or not sum(marks.severity.counts):
        return []
    text = (
        "Some tasters mark higher than others whatever is in the glass. "
        "The scores allow for it, so a wine neither gains nor loses by who happened to taste it."
    )
    alt = f"{sum(marks.severity.counts):,} tasters by how far they mark below or above the average."
    caption = "Tasters by the points they add to or take from the same wines. No one is named."
    return [
        heading("Tasters", 2),
        paragraph(text),
        picture(to_svg_soon(severity_chart(marks.severity)), alt, caption),
    ]


def bottles(marks: MarkFindings) -> list[Block]:
    """What each room's bottle added or took."""
    if not marks.bottles:
        return []
    least = least_apart(marks)
    wines, _ = shown_wines(marks)
    names = [wine.wine for wine in wines]
    apart = sorted(
        (bottle for bottle in marks.bottles if stands_apart(bottle, least)),
        key=lambda bottle: -abs(bottle.effect),
    )
    blocks = [heading("Bottle to bottle, room by room", 2)]
    if apart:
        counted = plural(len(apart), "bottle stands", "bottles stand")
        blocks.append(paragraph(
            f"{counted} apart from the other bottles of the same wine and may need a look. "
            "This is a suggestion: nothing was left out because of it."
        ))  # fmt: skip
        blocks.append(bullets([
            f"{spoken(b.wine)} in {spoken(b.site)}: {signed(b.effect)} points "
            f"(give or take {number(1.96 * b.se)})"
            for b in apart[:_MOST_APART]
        ]))  # fmt: skip
    else:
        blocks.append(paragraph("No bottle stands apart from the others of its wine."))
    caption = (
        "A tick is one room's bottle. A named diamond is a bottle at least "
        f"{points(least)} and three standard errors away from the wine's others."
    )
    alt = "What each room's bottle adds to or takes from each wine, in points."
    chart = bottles_chart(marks.bottles, names, least)
    return [*blocks, picture(to_svg_soon(chart), alt, caption)]


def least_apart(marks: MarkFindings) -> float:
    """Points by which a bottle has to differ from the others of its wine to be named."""
    return _SHARE_OF_TOP * marks.top if marks.top else marks.sd / 2


def covariates(marks: MarkFindings) -> list[Block]:
    """The serving order and whatever else was allowed for."""
    if not marks.covariates:
        return []
    named = {covariate.covariate for covariate in marks.covariates}
    title = "Place in the serving order" if named == {'position'} else "What else was allowed for"
    sentences = [covariate_in_words(covariate) for covariate in marks.covariates]
    if len(sentences) == 1:
        return [paragraph(sentences[0])]
    return [heading(title, 2), bullets(sentences[:30])]
