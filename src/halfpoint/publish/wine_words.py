"""What is said of one wine, in sentences."""

from __future__ import annotations

from collections.abc import Iterator

from halfpoint.aroma.said import AromaFindings, AromaWine, TermFinding
from halfpoint.estimate.findings import Findings, MarkFindings, WineFinding
from halfpoint.publish.beside_words import suspect_figures
from halfpoint.publish.charts.categories import category_mean
from halfpoint.publish.numbers import decimals_for, interval, number, plural, signed
from halfpoint.publish.standing import told_from, with_figures
from halfpoint.publish.words import how_sure, listed, spoken


def standing_in_words(marks: MarkFindings, wine: WineFinding) -> str:
    """Its score, the places it may hold, and from which wines it cannot be told."""
    decimals = decimals_for([wine.se])
    parts = [
        f"{number(wine.adjusted, decimals)} points ({interval(wine.low, wine.high, decimals)})"
    ]
    wines = with_figures(marks)
    if wine.rank_low is not None and wine.rank_high is not None:
        parts.append(f"{_place(wine.rank_low, wine.rank_high)} of {len(wines)}")
    sentences = [', '.join(parts) + "."]
    if wine.p_best is not None and wine.p_best >= 0.05:
        sentences.append(f"It {how_sure(wine.p_best)}.")
    if marks.pairs:
        told = told_from(marks, wine.wine)
        close = [w.wine for w in wines if w.wine != wine.wine and w.wine not in told]
        sentences.append(
            f"The marks cannot tell it from {listed(close, 'or')}."
            if close
            else "The marks tell it from every other wine."
        )
    return ' '.join(sentences)


def _place(low: int, high: int) -> str:
    if low == high:
        return f"place {low}"
    return f"place {low} or {high}" if high == low + 1 else f"place {low} to {high}"


def categories_in_words(wine: str, categories: list[MarkFindings]) -> str | None:
    """Categories in which it clearly stands above or below the average of the wines."""
    above, below = [], []
    for category in categories:
        found = next((each for each in category.wines if each.wine == wine), None)
        if found is None or found.adjusted is None or found.low is None or found.high is None:
            continue
        mean = category_mean(category)
        text = f"{category.label.lower()} ({signed(found.adjusted - mean, 1)})"
        above += [text] if found.low > mean else []
        below += [text] if found.high < mean else []
    parts = []
    if above:
        parts.append(f"above the average wine in {listed(above, most=8)}")
    if below:
        parts.append(f"below it in {listed(below, most=8)}" if above else
                     f"below the average wine in {listed(below, most=8)}")  # fmt: skip
    return f"Clearly {' and '.join(parts)}." if parts else None


def who_marked(wine: WineFinding) -> str:
    """How many tasters in how many rooms."""
    rooms = f" in {plural(wine.sites, 'room')}" if wine.sites > 1 else ""
    again = f", {plural(wine.marks, 'mark')}" if wine.marks != wine.tasters else ""
    return f"{plural(wine.tasters, 'taster')}{rooms}{again}"


def finish_in_words(wine: AromaWine) -> str | None:
    """The finish in seconds with its interval."""
    if wine.finish is None:
        return None
    text = f"The finish lasts {number(wine.finish, 0)} seconds"
    if wine.finish_low is not None and wine.finish_high is not None:
        text += f" ({interval(wine.finish_low, wine.finish_high, 0)})"
    return f"{text}, the middle of {plural(wine.timed, 'timing')}."


def faults_in_words(aroma: AromaFindings, wine: AromaWine) -> str | None:
    """How often each fault was ticked."""
    if wine.withheld:
        return None
    place = [each.wine for each in aroma.wines].index(wine.wine)
    ticked = [(term.label, term.counts[place] or 0) for term in _faults(aroma)]
    told = sorted(((n, label) for label, n in ticked if n), reverse=True)
    if not _faults(aroma):
        return None
    if not told:
        return "No taster ticked a fault."
    named = ', '.join(f"{label.lower()} {n:,}" for n, label in told[:5])
    return f"Faults ticked on its {plural(wine.entries, 'sheet')}: {named}."


def _faults(aroma: AromaFindings) -> list[TermFinding]:
    return [term for term in aroma.terms if term.kind == 'fault']


def bottles_in_words(findings: Findings, wine: str) -> Iterator[str]:
    """Bottles of the wine that look spoiled."""
    for bottle in findings.suspects:
        if bottle.wine == wine and bottle.suggested:
            yield f"The bottle in {spoken(bottle.site)} looks spoiled: {suspect_figures(bottle)}."
