"""What a taster found that others did too, what few found, and what many found besides."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from halfpoint.publish.words import spoken
from halfpoint.teach.letters.group import Group

MANY, FEW, MOST_FOUND = 0.3, 0.1, 0.4
COUNTED = "The others are those who ticked words for that wine."


@dataclass(frozen=True, slots=True)
class _Find:
    """A term in a wine, and how many of the others who ticked anything ticked it."""

    term: str
    wine: str
    others: int
    of: int

    @property
    def share(self) -> float:
        return self.others / self.of


def found(group: Group, own: Mapping[str, frozenset[str]]) -> tuple[str, ...]:
    """Sentences on aromas.

    Args:
        group: the tasting.
        own: wine to the terms that this taster ticked for it, empty for a wine without.
    """
    heard = {wine: terms for wine, terms in own.items() if _others(group, wine, terms) > 0}
    if not heard:
        return ()
    ticked = [find for wine, terms in heard.items() for find in _finds(group, wine, terms)]
    besides = list(_besides(group, heard))
    if ticked:
        said = [*_say_ticked(group, ticked), *_say_besides(group, besides, "Many also found")]
    else:
        none = "You ticked no aroma words, and nobody has to."
        said = [none, *_say_besides(group, besides, "Others often found")]
    return (*said, COUNTED) if any("others)" in each for each in said) else tuple(said)


def _others(group: Group, wine: str, own: frozenset[str]) -> int:
    """Others who ticked anything for a wine; none where they are too few to speak of."""
    heard = group.heard.get(wine)
    others = 0 if heard is None else heard.tasters - bool(own)
    return others if others >= group.least else 0


def _finds(group: Group, wine: str, terms: frozenset[str]) -> Iterator[_Find]:
    of = _others(group, wine, terms)
    for term in sorted(terms):
        yield _Find(term, wine, group.heard[wine].terms[term] - 1, of)


def _besides(group: Group, own: Mapping[str, frozenset[str]]) -> Iterator[_Find]:
    for wine, terms in own.items():
        of = _others(group, wine, terms)
        for term, count in group.heard[wine].terms.items():
            if term not in terms and count >= MOST_FOUND * of:
                yield _Find(term, wine, count, of)


def _say_ticked(group: Group, ticked: list[_Find]) -> Iterator[str]:
    shared = sorted((f for f in ticked if f.share >= MANY), key=_most_first)
    alone = sorted((f for f in ticked if f.share <= FEW), key=_most_first, reverse=True)
    if shared:
        yield f"Shared with many: {_listed(group, shared[:3])}."
    if alone:
        yield f"Found by few besides you: {_listed(group, alone[:2])}. It may be a find."
    if not shared and not alone:
        yield "What you found, some of the others found too."


def _most_first(find: _Find) -> tuple[float, str, str]:
    return -find.share, find.wine, find.term


def _say_besides(group: Group, besides: list[_Find], opening: str) -> Iterator[str]:
    if besides:
        first = sorted(besides, key=_most_first)[:2]
        yield f"{opening} {_listed(group, first)}."


def _listed(group: Group, finds: list[_Find]) -> str:
    said = [
        f"{group.label(f.term)} in {spoken(f.wine)} ({f.others:,} of {f.of:,} others)"
        for f in finds
    ]
    return '; '.join(said) if len(said) > 1 else said[0]
