"""The page of the panel: how reliable it is and how tasters differ. No one is named."""

from __future__ import annotations

import math
from collections.abc import Sequence

from halfpoint.estimate.findings import Findings, Histogram
from halfpoint.panel.describe import MISFIT
from halfpoint.panel.said import (
    AlphaFinding,
    IntraclassFinding,
    PanelFindings,
    TasterFinding,
)
from halfpoint.publish.charts.decisions import decisions_chart
from halfpoint.publish.charts.drawing import HALF, Drawing
from halfpoint.publish.charts.parts import parts_chart
from halfpoint.publish.charts.severity import severity_chart, spread_chart
from halfpoint.publish.charts.svg import to_svg_soon
from halfpoint.publish.numbers import interval, number, percent, plural
from halfpoint.publish.report.blocks import (
    Block,
    heading,
    lead,
    new_page,
    notes_below,
    paragraph,
    picture,
    side_by_side,
    table,
)
from halfpoint.publish.words import spoken

# A distribution of fewer tasters would be about persons.
FEWEST_DRAWN = 8
_MOST_BARS = 14
_MOST_FACETS = 7
_STEPS = (0.05, 0.1, 0.2, 0.25, 0.5, 1.0, 2.0, 5.0)
_FORMS = {
    'ICC(C,1)': "the order of two tasters",
    'ICC(A,1)': "the marks of two tasters",
    'ICC(C,k)': "the order of two panels of {k}",
    'ICC(A,k)': "averages of two panels of {k}",
}
_ALPHAS = {
    'krippendorff ordinal': ("Krippendorff's α", "marks, beyond chance"),
    'cronbach categories': ("Cronbach's α", "the categories of a sheet"),
}
_SOURCES = {
    'wine': "the wine",
    'site': "the room",
    'site × taster': "the taster",
    'wine × site': "the room's bottle",
    'wine × site × taster': "what is left",
}


def panel_page(findings: Findings) -> list[Block]:
    """The page; nothing where neither the panel nor its severity is known."""
    panel, spread = findings.panel, spread_of(findings.by_taster)
    people = _people(findings.total.severity, spread)
    if panel is None:
        return [heading("The panel"), *_in_pairs(people)] if people else []
    return [
        new_page(),
        heading("The panel"),
        lead(panel.sentence),
        *_decisions(findings, panel),
        *_sources(panel),
        *_in_pairs(people),
        *_in_columns(_coefficients(panel), _facets(panel)),
        *notes_below(panel.notes),
    ]


def spread_of(tasters: Sequence[TasterFinding]) -> Histogram | None:
    """Counts of tasters by how far apart they put the same wines; None for a few tasters."""
    known = [t.spread.value for t in tasters if t.spread is not None and not t.withheld]
    if len(known) < FEWEST_DRAWN:
        return None
    low, high = min(known), max(known)
    step = next((s for s in _STEPS if (high - low) / s <= _MOST_BARS - 2), 10.0)
    first, last = math.floor(low / step), math.floor(high / step) + 1
    counts = [0] * (last - first)
    for value in known:
        counts[math.floor(value / step) - first] += 1
    return Histogram(tuple(round(k * step, 9) for k in range(first, last + 1)), tuple(counts))


def _decisions(findings: Findings, panel: PanelFindings) -> list[Block]:
    if not panel.decisions:
        return []
    rooms = findings.sites > 1
    caption = (
        "How alike the order of the wines would be, from 0 to 1, were the tasting held again with "
        "other tasters like these"
    )
    caption += ", by how many taste in each room and in how many rooms." if rooms else "."
    alt = "Reliability of the order by tasters" + (" and rooms: " if rooms else ": ")
    alt += ', '.join(
        f"{plural(d.tasters, 'taster')} in {plural(d.sites, 'room')} {number(d.relative, 2)}"
        for d in panel.decisions
        if d.tasters in (1, 12) and d.sites in ((1, 5) if rooms else (1,))
    )
    return [picture(to_svg_soon(reliability_drawing(findings, panel)), alt, caption)]


def reliability_drawing(findings: Findings, panel: PanelFindings) -> Drawing:
    """Reliability of the order against tasters and rooms, this tasting marked in it."""
    here = None
    if panel.relative is not None:
        here = (panel.tasters / max(findings.sites, 1), panel.relative)
    return decisions_chart(panel.decisions, here, findings.sites > 1)


def _coefficients(panel: PanelFindings) -> list[Block]:
    given = {form.form: form for form in panel.intraclass}
    rows = [_form(given[name], panel) for name in _FORMS if name in given]
    if panel.concordance is not None:
        found = panel.concordance
        words = f"ranks of the {found.tasters:,} with every wine"
        rows.append([words, "Kendall's W", number(found.w, 2), number(None)])
    rows += [_alpha(alpha) for alpha in panel.alphas if alpha.kind in _ALPHAS]
    if not rows:
        return []
    columns = (
        ("How alike, 1 being the same", 'left', '1fr'), ("Figure", 'left', 'auto'),
        ("", 'right', 'auto'),
    )  # fmt: skip
    told = [row for row in rows if row[3] != number(None)]
    blocks = [table(columns, [row[:3] for row in rows], 8, tight=True)]
    if told:
        listed = '; '.join(f"{row[1]} {row[3]}" for row in told)
        blocks.append(paragraph(f"95\u202f% intervals: {listed}.", soft=True))
    return blocks


def _in_columns(left: list[Block], right: list[Block]) -> list[Block]:
    return [side_by_side(left, right)] if left and right else [*left, *right]


def _form(form: IntraclassFinding, panel: PanelFindings) -> list[str]:
    words = _FORMS[form.form].format(k=number(panel.intraclass_tasters, 0))
    return [words, form.form, number(form.value, 2), interval(form.low, form.high, 2)]


def _alpha(alpha: AlphaFinding) -> list[str]:
    name, words = _ALPHAS[alpha.kind]
    return [words, name, number(alpha.alpha, 2), interval(alpha.low, alpha.high, 2)]


def _sources(panel: PanelFindings) -> list[Block]:
    """Where one mark's differences come from."""
    whole = sum(source.variance for source in panel.sources)
    if whole <= 0:
        return []
    parts = [
        (_SOURCES.get(source.source, source.source), source.variance / whole)
        for source in panel.sources
        if source.variance > 0
    ]
    told = ', '.join(f"{name} {percent(share)}" for name, share in parts)
    caption = "Where the differences of one mark come from, as shares of its variance."
    below = sum(source.estimate < 0 for source in panel.sources)
    if below:
        caption += f" {plural(below, 'estimate')} below nothing counted as nothing."
    alt = f"Where one mark's differences come from: {told}"
    return [picture(to_svg_soon(parts_chart(parts)), alt, caption, card=False)]


def _people(severity: Histogram | None, spread: Histogram | None) -> list[Block]:
    """Distributions, half a page wide each."""
    cards = []
    if severity is not None and any(severity.counts):
        alt = f"{sum(severity.counts):,} tasters by how far they mark below or above the average."
        caption = "Tasters by the points they add to or take from the same wines. No one is named."
        cards.append(picture(to_svg_soon(severity_chart(severity, HALF)), alt, caption))
    if spread is not None:
        alt = f"{sum(spread.counts):,} tasters by how far apart they put the same wines."
        caption = "Tasters by how far apart they put the same wines; 1 is as far as most do."
        cards.append(picture(to_svg_soon(spread_chart(spread, HALF)), alt, caption))
    return cards


def _in_pairs(cards: Sequence[Block]) -> list[Block]:
    return [side_by_side(cards[i : i + 1], cards[i + 1 : i + 2]) for i in range(0, len(cards), 2)]


def _facets(panel: PanelFindings) -> list[Block]:
    """How regularly wines and categories were marked, the least regular first."""
    if not panel.wine_facet and not panel.category_facet:
        return []
    found = [*panel.wine_facet, *panel.category_facet]
    found.sort(key=lambda facet: -(facet.outfit or 0.0))
    title = "Marked least regularly" if len(found) > _MOST_FACETS else "How regularly marked"
    columns = (
        (title, 'left', '1fr'), ("Infit", 'right', 'auto'),
        ("Outfit", 'right', 'auto'),
    )  # fmt: skip
    rows = [[spoken(f.name), _fit(f.infit), _fit(f.outfit)] for f in found[:_MOST_FACETS]]
    text = (
        f"1 is as the rating scale expects, above {number(MISFIT)} more erratic. "
        "Infit weighs the usual marks, outfit the odd ones."
    )
    if panel.misfits:
        text += f" {plural(panel.misfits, 'taster')} of {panel.tasters:,} marked so."
    return [table(columns, rows, 8, tight=True), paragraph(text, soft=True)]


def _fit(value: float | None) -> str:
    text = number(value, 2)
    return f'\u0002{text}' if value is not None and value > MISFIT else text
