"""What is told beside the main estimate, one sentence a side."""

from __future__ import annotations

from collections.abc import Iterator

from halfpoint.estimate.findings import Findings, SuspectBottle
from halfpoint.publish.numbers import number


def beside_in_words(findings: Findings) -> Iterator[str]:
    """Order alone, scale use, bottles, panel and aromas, as far as there are any."""
    if findings.total.ordinal is not None:
        yield f"As ordered steps: {_lowered(findings.total.ordinal.sentence)}"
    if findings.scale is not None:
        yield findings.scale.sentence
    for bottle in findings.suspects:
        if bottle.suggested:
            yield suspect_in_words(bottle)
    if findings.panel is not None:
        yield findings.panel.sentence
    if findings.aroma is not None:
        yield findings.aroma.sentence


def suspect_in_words(bottle: SuspectBottle) -> str:
    """Where, how far below, and what tasters ticked."""
    ticked = ""
    if bottle.faults is not None and bottle.faults.here:
        ticked = f" {bottle.faults.here} of {bottle.faults.entries_here} ticked a fault there."
    return (
        f"One bottle looks spoiled: {bottle.wine} in {bottle.site}, "
        f"{number(-bottle.shift, 1)} points below what was to be expected.{ticked} "
        "Nothing is set aside by itself."
    )


def _lowered(sentence: str) -> str:
    return sentence[:1].lower() + sentence[1:]
