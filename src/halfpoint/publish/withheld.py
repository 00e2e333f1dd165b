"""What is not published: figures that rest on too few marks, which would be about the few."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from itertools import pairwise

from halfpoint.aroma.said import AromaFindings
from halfpoint.estimate.findings import Findings, MarkFindings, WineFinding
from halfpoint.estimate.ordinal.check import order_in_words
from halfpoint.estimate.ordinal.said import OrdinalFindings, OrdinalPair
from halfpoint.panel.said import TasterFinding
from halfpoint.publish.numbers import plural
from halfpoint.publish.ranked_again import ranked_again

NOTHING_TO_COMPARE = "Too few wines have enough marks to be compared by order alone."


def withhold(findings: Findings, least: int) -> Findings:
    """The findings without figures of wines that have fewer than `least` marks, said in a note.

    How many marks there are stays. Tasters below the least are withheld where they are described
    (`panel.tasters`), which a note says too, wines' aromas likewise (`aroma.describe`). How severe
    fewer than `least` tasters are is not drawn.
    """
    parts = tuple(
        part
        if part.result is None
        else replace(part, result=_marks(part.result, least, findings.seed)[0])
        for part in findings.parts
    )
    if findings.aroma is not None and any(wine.withheld for wine in findings.aroma.wines):
        findings = replace(findings, aroma=_aroma(findings.aroma))
    total, few = _marks(findings.total, least, findings.seed)
    said = _tasters_note(findings.by_taster, least)
    if few:
        said = (few_marks_in_words(few, least), *said)
    categories = {
        key: _marks(each, least, findings.seed)[0] for key, each in findings.categories.items()
    }
    told = (total, categories, parts)
    if not said and told == (findings.total, findings.categories, findings.parts):
        return findings
    panel, scale = findings.panel, findings.scale
    return replace(
        findings,
        total=total,
        categories=categories,
        parts=parts,
        suspects=tuple(each for each in findings.suspects if each.wine not in few),
        scale=None
        if scale is None
        else replace(scale, wines=tuple(w for w in scale.wines if w.wine not in few)),
        panel=None
        if panel is None
        else replace(panel, wine_facet=tuple(f for f in panel.wine_facet if f.name not in few)),
        notes=(*findings.notes, *said),
    )


def few_marks_in_words(wines: Collection[str], least: int) -> str:
    """Which wines, by name, have no figures, and why."""
    names = ', '.join(sorted(wines)) if len(wines) <= 12 else plural(len(wines), "wine")
    return f"Fewer than {least} marks, so figures are left out: {names}."


def _tasters_note(tasters: Sequence[TasterFinding], least: int) -> tuple[str, ...]:
    few = sum(taster.withheld for taster in tasters)
    if not few:
        return ()
    note = (
        f"{few:,} of {len(tasters):,} tasters gave fewer than {least} marks, "
        f"so nothing is told of them one by one."
    )
    return (note,)


def _marks(found: MarkFindings, least: int, seed: int) -> tuple[MarkFindings, frozenset[str]]:
    few = frozenset(wine.wine for wine in found.wines if wine.marks < least)
    if found.severity is not None and sum(found.severity.counts) < least:
        found = replace(found, severity=None)
    if not few:
        return found, few
    return replace(
        found,
        wines=_wines(found, few, seed),
        pairs=tuple(pair for pair in found.pairs if not few & {pair.a, pair.b}),
        bottles=tuple(bottle for bottle in found.bottles if bottle.wine not in few),
        ordinal=None if found.ordinal is None else _ordinal(found.ordinal, found.wines, few),
    ), few


def _wines(found: MarkFindings, few: Collection[str], seed: int) -> tuple[WineFinding, ...]:
    """The others keep their figures, with places among themselves."""
    left = [wine for wine in found.wines if wine.wine not in few]
    if any(wine.rank_probability for wine in left):
        left = list(ranked_again(left, found.pairs, seed))
    told = {wine.wine: wine for wine in left}
    return tuple(told.get(wine.wine) or _bare(wine) for wine in found.wines)


def _ordinal(
    found: OrdinalFindings, wines: Sequence[WineFinding], few: Collection[str]
) -> OrdinalFindings:
    def kept(pairs: tuple[OrdinalPair, ...]) -> tuple[OrdinalPair, ...]:
        return tuple(pair for pair in pairs if pair.a not in few and pair.b not in few)

    left = replace(
        found,
        wines=tuple(wine for wine in found.wines if wine.wine not in few),
        opposite=kept(found.opposite),
        points_only=kept(found.points_only),
        steps_only=kept(found.steps_only),
    )
    if not left.steps:
        # Nothing was fitted; the sentence then says why and names no wine.
        return left
    if len(left.wines) < 2:
        return replace(left, same_order=None, sentence=NOTHING_TO_COMPARE)
    points = {wine.wine: wine.adjusted or 0.0 for wine in wines}
    scores = [points[wine.wine] for wine in left.wines]
    left = replace(left, same_order=all(a >= b for a, b in pairwise(scores)))
    return replace(left, sentence=order_in_words(left))


def _aroma(found: AromaFindings) -> AromaFindings:
    few = [wine.withheld for wine in found.wines]
    names = {wine.wine for wine in found.wines if wine.withheld}
    terms = (
        replace(term, counts=tuple(None if w else c for c, w in zip(term.counts, few, strict=True)))
        for term in found.terms
    )
    return replace(
        found,
        terms=tuple(terms),
        pairs=tuple(pair for pair in found.pairs if not names & {pair.more, pair.less}),
    )


def _bare(wine: WineFinding) -> WineFinding:
    """How many marks, and nothing else."""
    return WineFinding(wine.wine, wine.tasters, wine.sites, wine.marks, raw_mean=float('nan'))
