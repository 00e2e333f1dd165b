"""What is not published: figures of a wine that too few marked, which would be about the few."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from halfpoint.estimate.findings import Findings, MarkFindings, WineFinding
from halfpoint.publish.numbers import plural


def withhold(findings: Findings, least: int) -> Findings:
    """The findings without figures of wines that have fewer than `least` marks, said in a note.

    How many marks there are stays. Tasters below the least are withheld where they are described
    (`panel.tasters`), wines' aromas likewise (`aroma.describe`).
    """
    parts = tuple(
        part if part.result is None else replace(part, result=_marks(part.result, least)[0])
        for part in findings.parts
    )
    total, few = _marks(findings.total, least)
    if not few and parts == findings.parts:
        return findings
    panel, scale = findings.panel, findings.scale
    return replace(
        findings,
        total=total,
        categories={key: _marks(each, least)[0] for key, each in findings.categories.items()},
        parts=parts,
        suspects=tuple(each for each in findings.suspects if each.wine not in few),
        scale=None
        if scale is None
        else replace(scale, wines=tuple(w for w in scale.wines if w.wine not in few)),
        panel=None
        if panel is None
        else replace(panel, wine_facet=tuple(f for f in panel.wine_facet if f.name not in few)),
        notes=(*findings.notes, *_note(few, least)),
    )


def _note(few: Collection[str], least: int) -> tuple[str, ...]:
    if not few:
        return ()
    names = ', '.join(sorted(few)) if len(few) <= 12 else plural(len(few), "wine")
    return (f"Fewer than {least} marks, so figures are left out: {names}.",)


def _marks(found: MarkFindings, least: int) -> tuple[MarkFindings, frozenset[str]]:
    few = frozenset(wine.wine for wine in found.wines if wine.marks < least)
    if not few:
        return found, few
    ordinal = found.ordinal
    return replace(
        found,
        wines=tuple(_bare(wine) if wine.wine in few else wine for wine in found.wines),
        pairs=tuple(pair for pair in found.pairs if not few & {pair.a, pair.b}),
        bottles=tuple(bottle for bottle in found.bottles if bottle.wine not in few),
        ordinal=None
        if ordinal is None
        else replace(
            ordinal,
            wines=tuple(w for w in ordinal.wines if w.wine not in few),
            opposite=tuple(p for p in ordinal.opposite if not few & {p.a, p.b}),
            points_only=tuple(p for p in ordinal.points_only if not few & {p.a, p.b}),
            steps_only=tuple(p for p in ordinal.steps_only if not few & {p.a, p.b}),
        ),
    ), few


def _bare(wine: WineFinding) -> WineFinding:
    """How many marks, and nothing else."""
    return replace(
        wine,
        raw_mean=float('nan'),
        adjusted=None,
        se=None,
        df=None,
        low=None,
        high=None,
        shrunken=None,
        rank_low=None,
        rank_high=None,
        rank_probability=(),
        p_best=None,
        letters='',
    )
