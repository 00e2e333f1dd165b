"""The letter to a taster."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

from halfpoint.panel.said import TasterFinding
from halfpoint.publish.numbers import mark, plural
from halfpoint.publish.words import spoken
from halfpoint.teach.letters.aromas import found as found_aromas
from halfpoint.teach.letters.group import Group, Mark
from halfpoint.teach.letters.next_time import next_time
from halfpoint.teach.letters.said import Letter, Passage, Row
from halfpoint.teach.letters.words import how_you_mark, listed, over_the_years, poured_again

CLOSING = "There are no right answers in lay tasting. Thank you for yours."


def taster_letter(
    group: Group, key: str, name: str, called: str, aside: Sequence[Mark] = ()
) -> Letter:
    """The letter to one taster, who has marks that count or marks that were set aside.

    Args:
        group: the tasting.
        key: of the taster.
        name: what the letter calls the taster; empty when the name cannot be printed.
        called: what the taster is called in the marks: the key, or a pseudonym.
        aside: the taster's entries that were left out of the result.
    """
    marks = group.marks.get(called, ())
    shown = marks or tuple(aside)
    found = group.tasters.get(called)
    totals = _totals(shown)
    site = next((m.site for m in shown if m.site), '')
    return Letter(
        kind='taster',
        key=key,
        name=name,
        site=site,
        greeting=f"Dear {name}," if name else "Dear taster,",
        opening=tuple(_opening(group, marks, aside, site, found)),
        rows_title="Your marks beside the group's",
        marks_said="your mark",
        score_said=SCORE_SAID,
        rows=rows(group, totals),
        level=group.level(found) if found is not None and marks else None,
        bars=None,
        passages=tuple(_passages(group, found, marks, totals)),
        next_time=next_time(group, found, marks) if marks else ASIDE_NEXT,
        closing=CLOSING,
    )


SCORE_SAID = "the group's score; its line holds it 95 times in 100"
ASIDE_NEXT = "Come again: every tasting starts on a clean sheet."


def rows(group: Group, totals: Mapping[str, Sequence[float]]) -> tuple[Row, ...]:
    """Wines from the group's highest score down, those without one last."""
    made = [_row(group, wine, tuple(given)) for wine, given in totals.items()]
    return tuple(sorted(made, key=lambda r: (r.score is None, -(r.score or 0.0), r.wine)))


def _row(group: Group, wine: str, given: tuple[float, ...]) -> Row:
    said = group.wines.get(wine)
    if said is None:
        return Row(wine, given, None, None, None)
    return Row(wine, given, said.adjusted, said.low, said.high)


def _totals(marks: Iterable[Mark]) -> dict[str, list[float]]:
    totals: dict[str, list[float]] = defaultdict(list)
    for each in marks:
        totals[each.wine].append(each.total)
    return dict(totals)


def _opening(
    group: Group,
    marks: Sequence[Mark],
    aside: Sequence[Mark],
    site: str,
    found: TasterFinding | None,
) -> Iterator[str]:
    where = f" in {spoken(site)}" if site else ""
    if not marks:
        yield f"Thank you for marking {plural(len(aside), 'pour')}{where}."
        yield (
            "Your marks are kept in the record. The organiser left them out when the group's "
            "scores were worked out. That happens for many reasons, and says nothing about your "
            "palate. Do ask if you would like to know more."
        )
        return
    wines = len({each.wine for each in marks})
    every = found is not None and found.complete >= 1 and wines > 1
    which = f"all {wines:,} wines" if every else plural(wines, "wine")
    yield f"Thank you for marking {which}{where}. Your marks are part of the result."
    yield from _favourites(group, marks)
    if aside:
        yield (
            f"{plural(len(aside), 'mark')} of yours {'is' if len(aside) == 1 else 'are'} kept in "
            "the record and left out of the group's scores."
        )


def _favourites(group: Group, marks: Sequence[Mark]) -> Iterator[str]:
    highest = {wine: max(given) for wine, given in _totals(marks).items()}
    if len(highest) < 2 or len(set(highest.values())) < 2:
        return
    top = max(highest.values())
    own = sorted(wine for wine, given in highest.items() if given == top)
    yield f"Your highest mark, {mark(top)}, went to {listed(own)}."
    scored = [wine for wine in highest if wine in group.wines]
    if len(scored) > 1:
        yield _beside_the_group(group, own, scored)


def _beside_the_group(group: Group, own: Sequence[str], scored: Sequence[str]) -> str:
    """What the group put first of these wines, and all that the marks cannot tell from it."""
    order = sorted(scored, key=lambda wine: -(group.wines[wine].adjusted or 0.0))
    first = order[0]
    near = [wine for wine in order if frozenset((first, wine)) not in group.apart]
    if len(near) == 1:
        others = "to the same wine" if own == [first] else f"to {spoken(first)}"
        return f"Of the wines you had, the group's highest score went {others}."
    if len(near) == len(scored):
        return "The marks of all tasters cannot tell which of these wines the group liked most."
    if len(own) == 1 and own[0] in near:
        return "It is among those at the top of the group's order, too close to tell apart."
    return f"At the top of the group's order stand {listed(near)}, too close to tell apart."


def _passages(
    group: Group,
    found: TasterFinding | None,
    marks: Sequence[Mark],
    totals: Mapping[str, Sequence[float]],
) -> Iterator[Passage]:
    if not marks:
        return
    given = [each.total for each in marks]
    yield Passage("How you mark", how_you_mark(found, given))
    if found is not None and found.severity is not None and group.past.get(found.taster):
        yield Passage("Over the years", over_the_years(group.past[found.taster]))
    own: dict[str, frozenset[str]] = {}
    for each in marks:
        own[each.wine] = own.get(each.wine, frozenset()) | each.terms
    aromas = found_aromas(group, own)
    if aromas:
        yield Passage("What you found", aromas)
    again = [(wine, several) for wine, several in totals.items() if len(several) > 1]
    if again:
        steady = None if found is None else found.repeatability
        yield Passage("Poured twice", poured_again(again, group.usual_gap, steady))
