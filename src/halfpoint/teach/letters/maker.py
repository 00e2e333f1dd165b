"""The letter to the maker of a wine: how it was liked, by whom, and in which words."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from statistics import fmean, median

from halfpoint.estimate.findings import WineFinding
from halfpoint.publish.numbers import interval, number, plural
from halfpoint.publish.words import spoken
from halfpoint.teach.letters.group import Group, Mark
from halfpoint.teach.letters.said import Bars, Letter, Passage, Row

CLOSING = "Members of an amateur society marked your wine blind. Thank you for making it."


def maker_letter(group: Group, key: str, wine: str) -> Letter | None:
    """The letter about one wine; None when too few marked it. No taster is named.

    Args:
        group: the tasting.
        key: of the wine.
        wine: what it is called in the result.
    """
    said, marks = group.wines.get(wine), group.by_wine.get(wine, ())
    if said is None or len({m.taster for m in marks}) < group.least:
        return None
    return Letter(
        kind='maker',
        key=key,
        name=wine,
        site='',
        greeting=f"To the maker of {spoken(wine)}",
        opening=tuple(_opening(group, said, marks)),
        rows_title="Line by line",
        marks_said="your wine",
        score_said="the middle of all the wines",
        rows=tuple(_lines(group, wine)),
        level=None,
        bars=_bars(group, marks),
        passages=(
            Passage("Who liked it", tuple(_liked(group, marks))),
            *_words(group, wine, marks),
        ),
        next_time='',
        closing=CLOSING,
    )


def _opening(group: Group, said: WineFinding, marks: Sequence[Mark]) -> Iterator[str]:
    rooms = len({m.site for m in marks if m.site})
    where = f" in {plural(rooms, 'room')}" if rooms else ""
    tasters = len({m.taster for m in marks})
    yield f"{plural(tasters, 'taster')}{where} marked your wine without knowing which it was."
    if said.adjusted is not None:
        top = number(group.sheet.top, 0)
        yield (
            f"Its score is {number(said.adjusted)} of {top}; 95 times in 100 it lies within "
            f"{interval(said.low, said.high)}."
        )
    yield _place(said, len(group.wines))


def _place(said: WineFinding, wines: int) -> str:
    """Its place where that is among the first half, else where to find it."""
    low, high = said.rank_low, said.rank_high
    if wines > 2 and low is not None and high is not None and 2 * high <= wines + 1:
        where = f"at place {low}" if low == high else f"somewhere from place {low} to {high}"
        return f"Among {wines:,} wines it is {where}."
    return "The report of the tasting shows all wines side by side."


def _lines(group: Group, wine: str) -> Iterator[Row]:
    """Each category on its own ruler, with the average of all wines as the group's score."""
    for key, said in group.findings.categories.items():
        own = next((w for w in said.wines if w.wine == wine and w.adjusted is not None), None)
        others = [w.adjusted for w in said.wines if w.adjusted is not None]
        if own is not None and own.adjusted is not None:
            of = group.sheet.category(key)
            score = (round(own.adjusted, 1),)
            label = f"{said.label}, of {number(of.top, 0)}"
            yield Row(label, score, fmean(others), None, None, (of.lowest, of.top))


def _bars(group: Group, marks: Sequence[Mark]) -> Bars:
    """Marks in whole points, or in tenths of a long ruler."""
    lowest, top = group.sheet.lowest, group.sheet.top
    width = 1.0 if top - lowest <= 25 else (top - lowest) / 20
    count = math.ceil((top - lowest) / width)
    places = Counter(min(count - 1, int((m.total - lowest) / width + 1e-9)) for m in marks)
    return Bars(
        "How the marks lay",
        tuple(lowest + width * n for n in range(count + 1)),
        tuple(places[n] for n in range(count)),
    )


def _liked(group: Group, marks: Sequence[Mark]) -> Iterator[str]:
    above, of = _above_own(group, marks)
    if of >= group.least:
        yield (
            f"{above:,} of {plural(of, 'taster')} liked it more than their other wines, taken "
            "together."
        )
    rooms: dict[str, list[float]] = defaultdict(list)
    for each in marks:
        rooms[each.site].append(each.total)
    means = [fmean(totals) for site, totals in rooms.items() if site and len(totals) >= group.least]
    if len(means) >= 3:
        yield (
            f"Room by room its average mark lay between {number(min(means))} and "
            f"{number(max(means))}; rooms differ in their tasters as well as in the bottle."
        )


def _above_own(group: Group, marks: Sequence[Mark]) -> tuple[int, int]:
    above = of = 0
    for taster in {m.taster for m in marks}:
        every = group.marks[taster]
        own = [m.total for m in every if m.wine == marks[0].wine]
        rest = [m.total for m in every if m.wine != marks[0].wine]
        if rest:
            of += 1
            above += fmean(own) > fmean(rest)
    return above, of


def _words(group: Group, wine: str, marks: Sequence[Mark]) -> Iterator[Passage]:
    heard = group.heard[wine]
    if heard.tasters < group.least:
        return
    first = sorted(heard.terms.items(), key=lambda item: (-item[1], item[0]))[:6]
    said = [f"{group.label(term)} ({count:,})" for term, count in first if count >= 2]
    sentences = []
    if said:
        sentences.append(
            f"Of {plural(heard.tasters, 'taster')} who ticked aroma words, the most found: "
            f"{', '.join(said)}."
        )
    marked = _marked(group, wine)
    if marked:
        names = ', '.join(group.label(term) for term in marked[:4])
        sentences.append(f"More than in the other wines they found {names}.")
    timed = [m.seconds for m in marks if m.seconds is not None]
    if len(timed) >= group.least:
        sentences.append(
            f"Timed, its finish was {median(timed):.0f} seconds for the middle taster."
        )
    sentences += _faults(group, marks)
    if sentences:
        yield Passage("In their words", tuple(sentences))


def _marked(group: Group, wine: str) -> tuple[str, ...]:
    aroma = group.findings.aroma
    if aroma is None:
        return ()
    return next((w.marked for w in aroma.wines if w.wine == wine and not w.withheld), ())


def _faults(group: Group, marks: Sequence[Mark]) -> Iterator[str]:
    ticked = Counter(fault for m in marks for fault in set(m.faults))
    sheets = sum(bool(m.faults) for m in marks)
    if sheets < group.least:
        return
    labels = group.sheet.faults_by_key
    named = ', '.join(
        f"{labels[key].label.lower() if key in labels else key} ({count:,})"
        for key, count in ticked.most_common(3)
    )
    yield f"A fault was ticked on {sheets:,} of {len(marks):,} sheets: {named}."
