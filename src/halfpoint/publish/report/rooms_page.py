"""The page of the rooms: bottles that may be spoiled, bottle by bottle, and the rooms."""

from __future__ import annotations

from collections import Counter

from halfpoint.estimate.findings import BottleFinding, Findings, SuspectBottle
from halfpoint.publish.charts.bottles import bottles_chart
from halfpoint.publish.charts.svg import to_svg_soon
from halfpoint.publish.numbers import chance, interval, number, plural, points, signed
from halfpoint.publish.report.blocks import (
    Block,
    heading,
    lead,
    new_page,
    paragraph,
    picture,
    side_by_side,
    table,
)
from halfpoint.publish.report.result import shown_wines
from halfpoint.publish.report.sources import least_apart
from halfpoint.publish.words import count_in_words, spoken

_MOST_SUSPECTS = 5
_MOST_ROOMS = 40


def rooms_page(findings: Findings) -> list[Block]:
    """The page; nothing where bottles and rooms have nothing to say."""
    marks = findings.total
    if not marks.bottles:
        return []
    return [
        new_page(),
        heading("The rooms and their bottles"),
        *_in_words(findings),
        *_suspects(findings.suspects),
        _chart(findings),
        *_rooms(findings),
    ]


def _in_words(findings: Findings) -> list[Block]:
    if not findings.suspects:
        return []
    suggested = [bottle for bottle in findings.suspects if bottle.suggested]
    if not suggested:
        return [lead("No bottle looks spoiled: none lies further below than bottles do.")]
    who = "One bottle looks" if len(suggested) == 1 else (
        f"{count_in_words(len(suggested)).capitalize()} bottles look"
    )  # fmt: skip
    return [lead(f"{who} spoiled. Nothing was left out because of it.")]


def _suspects(suspects: tuple[SuspectBottle, ...]) -> list[Block]:
    """Those that look spoiled, and the next in line to hold them against."""
    suggested = sum(bottle.suggested for bottle in suspects)
    shown = suspects[: max(suggested, _MOST_SUSPECTS)]
    if not shown:
        return []
    ticked = any(bottle.faults is not None for bottle in shown)
    columns = [
        ("Wine", 'left', '1fr'), ("Room", 'left', 'auto'), ("Points off", 'right', 'auto'),
        ("95\u202f% interval", 'right', 'auto'), ("Marks", 'right', 'auto'),
        ("p, all bottles\nasked at once", 'right', 'auto'),
    ]  # fmt: skip
    rows = [_row(bottle) for bottle in shown]
    if ticked:
        columns.insert(4, ("Fault ticked\nhere, elsewhere", 'left', 'auto'))
        for row, bottle in zip(rows, shown, strict=True):
            row.insert(4, _ticks(bottle))
    note = "Bold: looks spoiled. The others are the next lowest, and lie within what bottles do."
    if not suggested:
        note = "The lowest bottles; all lie within what bottles of one wine do."
    return [table(columns, rows, 8, tight=True), paragraph(note, soft=True)]


def _row(bottle: SuspectBottle) -> list[str]:
    bold = '\u0002' if bottle.suggested else ''
    return [
        bold + spoken(bottle.wine), bold + spoken(bottle.site), bold + signed(bottle.shift),
        interval(bottle.low, bottle.high), f'{bottle.marks:,}', chance(bottle.p_adjusted),
    ]  # fmt: skip


def _ticks(bottle: SuspectBottle) -> str:
    found = bottle.faults
    if found is None:
        return number(None)
    here = f"{found.here} of {found.entries_here}"
    return f"{here}, {found.elsewhere} of {found.entries_elsewhere}"


def _chart(findings: Findings) -> Block:
    marks = findings.total
    least = least_apart(marks)
    suspected = {(b.site, b.wine) for b in findings.suspects if b.suggested}
    names = [wine.wine for wine in shown_wines(marks)[0]]
    caption = (
        "What each room's bottle adds to or takes from its wine. A bottle with few marks is drawn "
        "towards nothing. A named diamond looks spoiled, or is at least "
        f"{points(least)} and three standard errors away from the wine's others."
    )
    alt = "What each room's bottle adds to or takes from each wine, in points."
    chart = bottles_chart(marks.bottles, names, least, suspected)
    return picture(to_svg_soon(chart), alt, caption)


def _rooms(findings: Findings) -> list[Block]:
    bottles: dict[str, list[BottleFinding]] = {}
    for bottle in findings.total.bottles:
        bottles.setdefault(bottle.site, []).append(bottle)
    tasters = Counter(taster.site for taster in findings.by_taster)
    marks = Counter[str | None]()
    for taster in findings.by_taster:
        marks[taster.site] += taster.marks
    if not tasters or len(bottles) < 2:
        return []
    blocks = [heading("Room by room", 2)]
    if len(bottles) > _MOST_ROOMS:
        counts = sorted(tasters.values())
        text = (
            f"{plural(len(bottles), 'room')}, with {counts[0]:,} to "
            f"{plural(counts[-1], 'taster')} each; tasters.csv has them one by one."
        )
        return [*blocks, paragraph(text)]
    columns = (
        ("Room", 'left', '1fr'), ("Tasters", 'right', 'auto'), ("Marks", 'right', 'auto'),
        ("Lowest\nbottle", 'right', 'auto'), ("Highest\nbottle", 'right', 'auto'),
    )  # fmt: skip
    rows = []
    for site, here in sorted(bottles.items()):
        effects = [bottle.effect for bottle in here]
        ends = [signed(min(effects)), signed(max(effects))]
        rows.append([spoken(site), f'{tasters[site]:,}', f'{marks[site]:,}', *ends])
    half = -(-len(rows) // 2)
    tables = [table(columns, part, 8, tight=True) for part in (rows[:half], rows[half:])]
    return [*blocks, side_by_side(tables[:1], tables[1:])]
