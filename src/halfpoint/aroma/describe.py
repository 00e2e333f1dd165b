"""What the wines were like: the table of contents of this package."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

import numpy as np
import polars as pl

from halfpoint.aroma.cochran import cochran_q, tick_pairs
from halfpoint.aroma.correspondence import Correspondence, Ellipse, correspond, wine_ellipses
from halfpoint.aroma.finish import Median, median_interval
from halfpoint.aroma.goes_with import goes_with
from halfpoint.aroma.remarks import match_terms
from halfpoint.aroma.said import (
    AromaFindings,
    AromaWine,
    MapFinding,
    Place,
    RemarkFinding,
    TermFinding,
    TermPair,
)
from halfpoint.aroma.ticks import Floats, Ints, Ticks
from halfpoint.aroma.words import SheetWords, Word, words_ticked
from halfpoint.errors import EstimateError
from halfpoint.estimate.chances import benjamini_hochberg, exact_more

LEAST_ENTRIES = 5
FEWEST_TICKS = 5
MOST_TERMS_A_WINE = 6
MOST_REMARKS = 200
DRAWS = 1000
SURE = 0.05


def describe_aroma(
    frame: pl.DataFrame,
    words: SheetWords,
    adjusted: Floats | None = None,
    *,
    least: int = LEAST_ENTRIES,
    seed: int = 20,
) -> AromaFindings | None:
    """What ticks, seconds and remarks say; None when the entries have none of them.

    Args:
        frame: entries with `taster`, `wine`, `total`, and those of `terms`, `families`, `faults`,
            `own_words`, `finish_seconds` and `remark` that there are.
        words: what the sheet offers.
        adjusted: totals free of wine, room and order, shape (entries,), for what a term goes
            with; without it the totals as they are.
        least: below so many entries nothing is told of a wine.
        seed: of the draws behind the ellipses.
    """
    found, ticked = words_ticked(frame, words)
    seconds = _seconds(frame)
    remarks = frame.get_column('remark').to_list() if 'remark' in frame.columns else []
    if not ticked.any() and np.isnan(seconds).all() and not any(remarks):
        return None
    labels, wine = _coded(frame, 'wine')
    people, taster = _coded(frame, 'taster')
    ticks = Ticks(taster, wine, ticked, len(labels), len(people))
    total = frame.get_column('total').to_numpy() if adjusted is None else adjusted
    entries = ticks.entries()
    terms, pairs = _terms(ticks, found, np.asarray(total, dtype=np.float64), labels)
    wines = tuple(_wine(i, ticks, found, labels, seconds, int(entries[i]) < least)
                  for i in range(len(labels)))  # fmt: skip
    return AromaFindings(
        entries=frame.height,
        wines=wines,
        terms=terms,
        pairs=pairs,
        map=_map(ticks, found, labels, entries >= least, seed),
        remarks=_remarks(remarks, words),
        sentence=_sentence(terms, wines),
        notes=(*_notes(ticks, wines, least), *_telling_nothing(ticks, found)),
    )


def _coded(frame: pl.DataFrame, column: str) -> tuple[tuple[str, ...], Ints]:
    values = frame.get_column(column).cast(pl.String)
    labels, codes = np.unique(values.to_numpy().astype(str), return_inverse=True)
    return tuple(map(str, labels)), codes.astype(np.int64)


def _seconds(frame: pl.DataFrame) -> Floats:
    if 'finish_seconds' not in frame.columns:
        return np.full(frame.height, np.nan)
    return frame.get_column('finish_seconds').cast(pl.Float64).fill_null(np.nan).to_numpy()


def _terms(
    ticks: Ticks, words: tuple[Word, ...], total: Floats, labels: tuple[str, ...]
) -> tuple[tuple[TermFinding, ...], tuple[TermPair, ...]]:
    """Every word that was ticked, most ticked first, and the pairs of wines it tells apart."""
    counts = ticks.table()
    squares = [ticks.square(number) for number in range(len(words))]
    tests = [cochran_q(square) if len(labels) > 1 and len(square) else None for square in squares]
    p = np.array([1.0 if test is None or test.p is None else test.p for test in tests])
    told = [number for number, test in enumerate(tests) if test is not None and test.p is not None]
    adjusted = dict(zip(told, benjamini_hochberg(p[told]).tolist(), strict=True)) if told else {}
    made: list[TermFinding] = []
    pairs: list[TermPair] = []
    for number, word in enumerate(words):
        if not counts[:, number].any():
            continue
        goes = goes_with(total, ticks.ticked[:, number], ticks.taster)
        test = tests[number]
        made.append(
            TermFinding(
                key=word.key,
                label=word.label,
                kind=word.kind,
                ticked=int(counts[:, number].sum()),
                counts=tuple(counts[:, number].tolist()),
                q=None if test is None else test.q,
                p=None if test is None else test.p,
                p_adjusted=adjusted.get(number),
                change=goes.change,
                change_low=goes.low,
                change_high=goes.high,
                change_p=goes.p,
                change_tasters=goes.tasters,
            )
        )
        if adjusted.get(number, 1.0) <= SURE:
            pairs += _pairs(word, squares[number], labels)
    made.sort(key=lambda term: (-term.ticked, term.label))
    return tuple(made), tuple(pairs)


def _pairs(word: Word, square: np.ndarray, labels: tuple[str, ...]) -> Iterator[TermPair]:
    for pair in tick_pairs(square):
        if pair.p_adjusted > SURE:
            continue
        a, b, only_a, only_b = pair.a, pair.b, pair.only_a, pair.only_b
        if only_b > only_a:
            a, b, only_a, only_b = b, a, only_b, only_a
        yield TermPair(word.key, labels[a], labels[b], only_a, only_b, pair.p_adjusted)


def _wine(
    number: int,
    ticks: Ticks,
    words: tuple[Word, ...],
    labels: tuple[str, ...],
    seconds: Floats,
    withheld: bool,
) -> AromaWine:
    here = ticks.wine == number
    entries = int(here.sum())
    if withheld:
        return AromaWine(labels[number], entries, True, (), (), None, None, None, 0)
    counts, totals = ticks.ticked[here].sum(axis=0), ticks.ticked.sum(axis=0)
    order = sorted(np.flatnonzero(counts).tolist(), key=lambda i: (-counts[i], words[i].label))
    p = np.array([exact_more(int(counts[i]), entries, int(totals[i]), len(here)) for i in order])
    clear = benjamini_hochberg(p) if order else p
    finish = median_interval(seconds[here])
    return AromaWine(
        wine=labels[number],
        entries=entries,
        withheld=False,
        terms=tuple(words[i].key for i in order if words[i].kind != 'fault')[:MOST_TERMS_A_WINE],
        marked=tuple(words[i].key for i, sure in zip(order, clear, strict=True) if sure <= SURE),
        **_finish(finish),
        timed=finish.count,
    )


def _finish(found: Median) -> dict[str, float | None]:
    return {'finish': found.median, 'finish_low': found.low, 'finish_high': found.high}


def _map(
    ticks: Ticks, words: tuple[Word, ...], labels: tuple[str, ...], enough: np.ndarray, seed: int
) -> MapFinding | None:
    """Wines and terms on two axes; faults and rare words are left out, they would rule it."""
    counts = ticks.table()
    chosen = [
        number
        for number, word in enumerate(words)
        if word.kind != 'fault' and counts[enough, number].sum() >= FEWEST_TICKS
    ]
    kept = np.flatnonzero(enough & (counts[:, chosen].sum(axis=1) > 0)) if chosen else np.array([])
    if len(kept) < 3 or len(chosen) < 3:
        return None
    try:
        found = correspond(counts[kept][:, chosen].astype(np.float64))
    except EstimateError:
        return None
    if found.rows.shape[1] < 2:
        return None
    inside = np.isin(ticks.wine, kept)
    renumbered = np.searchsorted(kept, ticks.wine[inside])
    some = Ticks(ticks.taster[inside], renumbered, ticks.ticked[inside], len(kept), ticks.tasters)
    ellipses = wine_ellipses(some, chosen, found, draws=DRAWS, seed=seed)
    return MapFinding(
        shares=tuple(map(float, found.shares[:2])),
        wines=tuple(_places(found, ellipses, [labels[i] for i in kept])),
        terms=tuple(
            Place(words[number].label, float(x), float(y), None, None, None)
            for number, (x, y) in zip(chosen, found.columns[:, :2], strict=True)
        ),
        chi_square=found.chi_square,
        df=found.df,
        p=found.p,
    )


def _places(
    found: Correspondence, ellipses: tuple[Ellipse | None, ...], names: list[str]
) -> Iterator[Place]:
    for name, (x, y), ellipse in zip(names, found.rows[:, :2], ellipses, strict=True):
        if ellipse is None:
            yield Place(name, float(x), float(y), None, None, None)
        else:
            yield Place(name, float(x), float(y), *ellipse.half_axes, ellipse.turn)


def _remarks(remarks: list[str | None], words: SheetWords) -> tuple[RemarkFinding, ...]:
    labels: Mapping[str, str] = {**words.terms, **words.faults}
    counts: Counter[tuple[str, str]] = Counter()
    for remark in remarks:
        counts.update((match.term, match.written) for match in match_terms(remark or '', labels))
    commonest = sorted(counts.items(), key=lambda item: (-item[1], item[0]))[:MOST_REMARKS]
    return tuple(RemarkFinding(key, written, count) for (key, written), count in commonest)


def _sentence(terms: tuple[TermFinding, ...], wines: tuple[AromaWine, ...]) -> str:
    telling = [t for t in terms if t.p_adjusted is not None and t.p_adjusted <= SURE]
    if not telling:
        return "The words ticked do not tell the wines apart." if terms else "No words were ticked."
    named = ', '.join(t.label for t in sorted(telling, key=lambda t: t.p or 0.0)[:3])
    count = len(telling)
    with_mark = sum(1 for wine in wines if wine.marked)
    return (
        f"{count} {'word tells' if count == 1 else 'words tell'} the wines apart, most clearly "
        f"{named}; {with_mark} of {len(wines)} wines have a word of their own."
    )


def _notes(ticks: Ticks, wines: tuple[AromaWine, ...], least: int) -> tuple[str, ...]:
    notes = []
    few = sum(wine.withheld for wine in wines)
    if few:
        which = "One wine has" if few == 1 else f"{few} wines have"
        notes.append(f"{which} fewer than {least} entries, so nothing is told of it here.")
    all_of_them = len(ticks.square(0)) if ticks.ticked.shape[1] else 0
    if 0 < all_of_them < ticks.tasters:
        notes.append(
            f"Tests of words rest on the {all_of_them} of {ticks.tasters} tasters who had "
            "every wine."
        )
    return tuple(notes)


def _telling_nothing(ticks: Ticks, words: tuple[Word, ...]) -> Iterator[str]:
    """Words that every entry has, or none."""
    counts = ticks.ticked.sum(axis=0)
    if not counts.any():
        return
    always = [word.label for word, n in zip(words, counts, strict=True) if n == len(ticks.wine)]
    if always:
        yield f"Ticked on every sheet, which tells no wine from another: {', '.join(always)}."
    never = int((counts == 0).sum())
    if never == 1:
        yield "One word of the sheet was ticked by nobody."
    elif never:
        yield f"{never} words of the sheet were ticked by nobody."
