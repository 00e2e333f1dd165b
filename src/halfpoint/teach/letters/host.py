"""The letter to a host: how the room did, its bottles, what came home."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from math import sqrt
from statistics import fmean, stdev

from scipy.special import stdtrit

from halfpoint.estimate.findings import SuspectBottle
from halfpoint.publish.numbers import number, percent, plural, points
from halfpoint.publish.words import spoken
from halfpoint.teach.letters.group import Group, Mark
from halfpoint.teach.letters.said import Letter, Passage
from halfpoint.teach.letters.taster import SCORE_SAID, rows

CLOSING = "A tasting is made in its rooms. Thank you for yours."


def host_letter(group: Group, key: str, site: str, host: str, marks: Sequence[Mark]) -> Letter:
    """The letter to the host of one room. Nobody's own marks stand in it.

    Args:
        group: the tasting.
        key: of the site.
        site: what the room is called in the result.
        host: what the letter calls the host; empty when nobody is named.
        marks: the room's entries that count, at least one.
    """
    enough = len({each.taster for each in marks}) >= group.least
    return Letter(
        kind='host',
        key=key,
        name=host,
        site=site,
        greeting=f"Dear {host}," if host else "Dear host,",
        opening=tuple(_opening(marks, site)),
        rows_title="Your room beside the others",
        marks_said="your room's average",
        score_said=SCORE_SAID,
        rows=rows(group, _averages(group, marks)) if enough else (),
        level=None,
        bars=None,
        passages=(
            Passage("What came home", tuple(_complete(marks))),
            *_bottles(group, site),
            Passage("The room", tuple(_room(group, site, marks)) if enough else (FEW,)),
        ),
        next_time=_next_time(group, site, marks),
        closing=CLOSING,
    )


FEW = "So few tasters marked here that averages would be about persons. None are given."


def _opening(marks: Sequence[Mark], site: str) -> Iterator[str]:
    tasters, wines = len({m.taster for m in marks}), len({m.wine for m in marks})
    yield (
        f"Thank you for opening {spoken(site)}. {plural(tasters, 'taster')} of your room marked "
        f"{plural(wines, 'wine')}, and {plural(len(marks), 'mark')} of theirs "
        f"{'is' if len(marks) == 1 else 'are'} part of the result."
    )


def _averages(group: Group, marks: Sequence[Mark]) -> dict[str, list[float]]:
    by_wine: dict[str, list[float]] = defaultdict(list)
    for each in marks:
        by_wine[each.wine].append(each.total)
    return {w: [round(fmean(t), 1)] for w, t in by_wine.items() if len(t) >= group.least}


def _share(marks: Sequence[Mark]) -> float:
    """Marks that came home, of one for each taster and wine seen in the room."""
    seen = {(m.taster, m.wine) for m in marks}
    return len(seen) / (len({t for t, _ in seen}) * len({w for _, w in seen}))


def _complete(marks: Sequence[Mark]) -> Iterator[str]:
    share = _share(marks)
    if share == 1:
        yield "Every taster's sheet came home whole: no wine was left without a mark."
        return
    per_taster = Counter(taster for taster, _ in {(m.taster, m.wine) for m in marks})
    wines = len({m.wine for m in marks})
    whole = sum(count == wines for count in per_taster.values())
    yield f"{percent(share)} of the marks that could be given came home."
    yield f"{whole:,} of {plural(len(per_taster), 'taster')} marked every wine of the room."


def _room(group: Group, site: str, marks: Sequence[Mark]) -> Iterator[str]:
    """The room's level against the scores, tasters taken as drawn from many.

    A bottle that may have been spoiled is left out.
    """
    apart: dict[str, list[float]] = defaultdict(list)
    spoiled = {s.wine for s in _suggested(group, site)}
    left_out = ", that bottle left out" if spoiled else ""
    for each in marks:
        said = group.wines.get(each.wine)
        if said is not None and each.wine not in spoiled and said.adjusted is not None:
            apart[each.taster].append(each.total - said.adjusted)
    means = [fmean(several) for several in apart.values()]
    if len(means) < group.least:
        yield FEW
        return
    middle = fmean(means)
    reach = float(stdtrit(len(means) - 1, 0.975)) * stdev(means) / sqrt(len(means))
    if abs(middle) <= reach:
        yield (
            f"Your room marked at about the level of the others{left_out}, as far as "
            f"{len(means):,} tasters can tell (to within {points(reach)} or so)."
        )
        return
    way = "above" if middle > 0 else "below"
    yield (
        f"Your room marked {points(abs(middle))} {way} the others on the same wines"
        f"{left_out}, between {number(abs(middle) - reach)} and {number(abs(middle) + reach)}. "
        "The group's scores allow for that."
    )


def _suggested(group: Group, site: str) -> list[SuspectBottle]:
    return [s for s in group.findings.suspects if s.site == site and s.suggested]


def _bottles(group: Group, site: str) -> Iterator[Passage]:
    if not group.findings.total.bottles:
        return
    suspects = _suggested(group, site)
    if not suspects:
        yield Passage("Bottles", ("No bottle of your room stands apart from the others.",))
        return
    said = [
        f"Your bottle of {spoken(s.wine)} lay about {points(abs(s.shift))} below the same wine "
        f"elsewhere, between {number(abs(s.high))} and {number(abs(s.low))}. It may have been "
        "spoiled. Such things happen to bottles, and no host can see them."
        for s in suspects[:3]
    ]
    yield Passage("Bottles", tuple(said))


def _next_time(group: Group, site: str, marks: Sequence[Mark]) -> str:
    if _suggested(group, site):
        return (
            "Pour yourself a drop of every bottle before the room is served, and smell it. "
            "When you are in doubt, open the spare."
        )
    if _share(marks) < 0.95:
        return (
            "Before the last glass is cleared, ask each taster to run a finger down the sheet: "
            "does every wine have its marks?"
        )
    return "Do it just as you did. If you have a free hand, ask one guest to time each finish."
