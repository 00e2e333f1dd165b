"""What is told beside the main estimate, one sentence a side."""

from __future__ import annotations

from collections.abc import Iterator

from halfpoint.estimate.findings import Findings, SuspectBottle
from halfpoint.estimate.ordinal.said import SEPARATED
from halfpoint.publish.numbers import number
from halfpoint.publish.words import count_in_words, spoken

_MOST_NAMED = 4


def beside_in_words(findings: Findings) -> Iterator[str]:
    """Order alone, scale use, bottles, panel and aromas, as far as there are any."""
    yield from order_in_words(findings)
    if findings.scale is not None:
        yield findings.scale.sentence
    if any(bottle.suggested for bottle in findings.suspects):
        yield from bottles_in_words(findings)
    if findings.panel is not None:
        yield findings.panel.sentence
    if findings.aroma is not None:
        yield findings.aroma.sentence


def notes_beside(findings: Findings) -> Iterator[str]:
    """What has to be known of the panel's and the words' figures, and of order alone."""
    if findings.panel is not None:
        yield from findings.panel.notes
    if findings.aroma is not None:
        yield from findings.aroma.notes
    yield from separated_in_words(findings)


def order_notes(findings: Findings) -> Iterator[str]:
    """What the check by order alone did to the marks: steps merged, what it could not see."""
    ordinal = findings.total.ordinal
    for note in () if ordinal is None else ordinal.notes:
        if note != SEPARATED:
            yield f"Order alone: {note}"
    yield from separated_in_words(findings)


def separated_in_words(findings: Findings) -> Iterator[str]:
    """Kinds of mark whose steps separate wines or tasters completely."""
    marks = (findings.total, *findings.categories.values())
    held = [each.label for each in marks if each.ordinal is not None and each.ordinal.held_in]
    if held:
        yield f"Order alone ({', '.join(held)}): {SEPARATED}"


def order_in_words(findings: Findings) -> Iterator[str]:
    """Whether the order leans on the scale."""
    if findings.total.ordinal is not None:
        yield findings.total.ordinal.sentence


def bottles_in_words(findings: Findings) -> Iterator[str]:
    """Which bottles look spoiled, or that none does; nothing where none was looked at."""
    suggested = [bottle for bottle in findings.suspects if bottle.suggested]
    if suggested:
        named = '; '.join(suspect_in_words(bottle) for bottle in suggested[:_MOST_NAMED])
        more = len(suggested) - _MOST_NAMED
        named += f"; and {count_in_words(more)} more" if more > 0 else ""
        looks = "One bottle looks" if len(suggested) == 1 else (
            f"{count_in_words(len(suggested)).capitalize()} bottles look"
        )  # fmt: skip
        yield f"{looks} spoiled: {named}. Nothing is set aside by itself."
    elif findings.suspects:
        yield "No bottle looks spoiled."


def suspect_in_words(bottle: SuspectBottle) -> str:
    """Where, how far below, and what tasters ticked."""
    where = f"{spoken(bottle.wine)} in {spoken(bottle.site)}"
    return f"{where}, {suspect_figures(bottle)}"


def suspect_figures(bottle: SuspectBottle) -> str:
    """How far below, and what was ticked."""
    text = f"{number(-bottle.shift)} points below what was to be expected"
    if bottle.faults is not None and bottle.faults.here:
        ticked = count_in_words(bottle.faults.here)
        text += f", where {ticked} of {count_in_words(bottle.faults.entries_here)} ticked a fault"
    return text
