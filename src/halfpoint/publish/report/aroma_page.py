"""What the wines were like: the map of wines and words, which words tell wines apart."""

from __future__ import annotations

from collections.abc import Sequence

from halfpoint.aroma.said import AromaFindings, AromaWine, TermFinding
from halfpoint.estimate.findings import Findings
from halfpoint.publish.charts.intervals import Ranged, intervals_chart
from halfpoint.publish.charts.svg import to_svg_soon
from halfpoint.publish.charts.word_map import map_chart
from halfpoint.publish.numbers import chance, number, percent, plural, signed
from halfpoint.publish.report.blocks import (
    Block,
    heading,
    lead,
    new_page,
    notes_below,
    paragraph,
    picture,
    table,
)
from halfpoint.publish.standing import ordered
from halfpoint.publish.words import spoken

SURE = 0.05
MOST_MAPPED = 24
_MOST_COLUMNS = 12
_MOST_WORDS = 18
_MOST_CHANGES = 12
_FEWEST_TASTERS = 10
_MOST_REMARKS = 10


def aroma_page(findings: Findings) -> list[Block]:
    """The pages; nothing where nothing was ticked, timed or written."""
    aroma = findings.aroma
    if aroma is None or not (aroma.terms or any(wine.timed for wine in aroma.wines)):
        return []
    place = {wine.wine: i for i, wine in enumerate(ordered(findings.total))}
    wines = sorted((w for w in aroma.wines if not w.withheld), key=lambda w: place.get(w.wine, 0))
    return [
        new_page(),
        heading("What the wines were like"),
        lead(aroma.sentence),
        *_map(aroma, wines),
        *_finish(wines),
        *_telling(aroma, wines),
        *_changes(aroma),
        *_remarks(aroma),
        *notes_below(aroma.notes),
    ]


def _map(aroma: AromaFindings, wines: Sequence[AromaWine]) -> list[Block]:
    found = aroma.map
    if found is None:
        return []
    if len(found.wines) > MOST_MAPPED:
        text = f"A map of {len(found.wines):,} wines would not be read; the JSON has its places."
        return [paragraph(text, soft=True)]
    caption = (
        "Wines that drew the same words stand close, and a word stands towards the wines it was "
        "ticked for; the further from the middle, the more it tells. An ellipse is where its wine "
        "would stand in 95 of 100 tastings with other tasters like these. Faults are left out."
    )
    called = {wine.wine: str(place) for place, wine in enumerate(wines, 1)}
    if len(wines) > _MOST_COLUMNS:
        caption += f" {_key(wines)}."
    else:
        called = {}
    alt = "Map of wines and words. From left to right: " + ', '.join(
        spoken(wine.name) for wine in sorted(found.wines, key=lambda wine: wine.x)
    )
    return [picture(to_svg_soon(map_chart(found, called)), alt, caption)]


def _telling(aroma: AromaFindings, wines: Sequence[AromaWine]) -> list[Block]:
    terms = [t for t in aroma.terms if t.p_adjusted is not None and t.p_adjusted <= SURE]
    terms.sort(key=lambda term: term.p or 0.0)
    if not terms or len(wines) < 2:
        return []
    title = heading("Which words tell the wines apart", 2)
    more = len(terms) - _MOST_WORDS
    shown = terms[:_MOST_WORDS]
    places = [[wine.wine for wine in aroma.wines].index(wine.wine) for wine in wines]
    if len(wines) <= _MOST_COLUMNS:
        columns = [("Word", 'left', '1fr')]
        columns += [(str(number), 'right', '30pt') for number in range(1, len(wines) + 1)]
        rows = [_shares(term, wines, places) for term in shown]
        note = f"Per cent of a wine's sheets with the word; bold: its own word. {_key(wines)}."
    else:
        columns = [("Word", 'left', '1fr'), ("Most for", 'left', '2.4fr')]
        rows = [[_label(term), _most(term, wines, places)] for term in shown]
        note = "Per cent of a wine's sheets with the word."
    columns.append(("p", 'right', 'auto'))
    for row, term in zip(rows, shown, strict=True):
        row.append(chance(term.p_adjusted or 0.0))
    note += " p by Cochran's Q, all words asked at once."
    if more > 0:
        note += f" {plural(more, 'word')} more in terms.csv."
    return [title, table(columns, rows, 8), paragraph(note, soft=True)]


def _key(wines: Sequence[AromaWine]) -> str:
    return '; '.join(f"{place} {spoken(wine.wine)}" for place, wine in enumerate(wines, 1))


def _label(term: TermFinding) -> str:
    return f"{spoken(term.label)} (fault)" if term.kind == 'fault' else spoken(term.label)


def _shares(term: TermFinding, wines: Sequence[AromaWine], places: Sequence[int]) -> list[str]:
    cells = [_label(term)]
    for wine, place in zip(wines, places, strict=True):
        share = (term.counts[place] or 0) / max(wine.entries, 1)
        bold = '\u0002' if term.key in wine.marked else ''
        cells.append(f'{bold}{100 * share:.0f}')
    return cells


def _most(term: TermFinding, wines: Sequence[AromaWine], places: Sequence[int]) -> str:
    shares = sorted(
        ((term.counts[place] or 0) / max(wine.entries, 1), wine.wine)
        for wine, place in zip(wines, places, strict=True)
    )
    return ', '.join(f"{spoken(wine)} {percent(share)}" for share, wine in shares[:-4:-1])


def _changes(aroma: AromaFindings) -> list[Block]:
    """What a word goes with, for words that enough tasters both ticked and did not."""
    known = [
        term
        for term in aroma.terms
        if term.change is not None
        and term.change_low is not None
        and term.kind != 'family'
        and term.change_tasters >= _FEWEST_TASTERS
    ]
    known.sort(key=lambda term: 1.0 if term.change_p is None else term.change_p)
    shown = sorted(known[:_MOST_CHANGES], key=lambda term: -(term.change or 0.0))
    if not shown:
        return []
    rows = [
        Ranged(_label(t), t.change or 0.0, t.change_low, t.change_high, signed(t.change, 2))
        for t in shown
    ]
    text = (
        "How much higher a taster's total is where the word is ticked than where the same taster "
        "did not tick it, wine, room and order taken out first. It says nothing of cause."
    )
    alt = "Points that go with a word: " + ', '.join(f"{r.label} {r.text}" for r in rows)
    chart = intervals_chart(rows, zero=True, ends="points higher where it is ticked →")
    return [heading("What a word goes with", 2), paragraph(text), picture(to_svg_soon(chart), alt)]


def _finish(wines: Sequence[AromaWine]) -> list[Block]:
    timed = [wine for wine in wines if wine.finish is not None]
    if not timed or len(timed) > MOST_MAPPED:
        return []
    rows = [
        Ranged(w.wine, w.finish or 0.0, w.finish_low, w.finish_high, f"{number(w.finish, 0)} s")
        for w in sorted(timed, key=lambda w: -(w.finish or 0.0))
    ]
    alt = "Finish in seconds: " + ', '.join(f"{spoken(r.label)} {r.text}" for r in rows)
    caption = "Seconds of finish: the middle of all timings, with its 95\u202f% interval."
    return [heading("The finish", 2), picture(to_svg_soon(intervals_chart(rows)), alt, caption)]


def _remarks(aroma: AromaFindings) -> list[Block]:
    if not aroma.remarks:
        return []
    labels = {term.key: term.label for term in aroma.terms}
    columns = (
        ("Word of the sheet", 'left', '1fr'), ("As written in remarks", 'left', '1fr'),
        ("Times", 'right', 'auto'),
    )  # fmt: skip
    rows = [
        [spoken(labels.get(found.key, found.key)), spoken(found.written), f'{found.count:,}']
        for found in aroma.remarks[:_MOST_REMARKS]
    ]
    return [heading("In remarks", 2), table(columns, rows, 8)]
