"""What all letters of a tasting lean on, worked out once."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from statistics import median
from types import MappingProxyType
from typing import Any

import polars as pl

from halfpoint.errors import InputError
from halfpoint.estimate.findings import Findings, MarkFindings, WineFinding
from halfpoint.panel.said import TasterFinding
from halfpoint.publish.export.document import document, plain
from halfpoint.publish.standing import is_told_apart
from halfpoint.sheet.form import Sheet
from halfpoint.teach.letters.said import Level, YearLevel
from halfpoint.teach.own_past import Before
from halfpoint.teach.reference import Reference, reference_of

LEAST_IN_CHART = 12
MOST_YEARS = 5


@dataclass(frozen=True, slots=True)
class Mark:
    """One entry that counts: the total, the mark of each category, what was ticked and timed."""

    taster: str
    site: str
    wine: str
    total: float
    parts: Mapping[str, float]
    terms: frozenset[str]
    faults: tuple[str, ...]
    seconds: float | None


@dataclass(frozen=True, slots=True)
class Heard:
    """Of one wine: how many tasters ticked a term at all, and how many each term."""

    tasters: int
    terms: Mapping[str, int]


@dataclass(frozen=True, eq=False)
class Group:
    """The marks of everybody, and what the result says of them.

    `wines` has figures for the wines that enough tasters marked, `apart` the pairs of wines that
    the marks tell apart; `pairs` are how far two marks of one taster for one wine lay apart.
    `reference` is what practice would compare with, None where wines cannot be compared category
    by category; `past` are levels at earlier tastings, by taster.
    """

    sheet: Sheet
    title: str
    findings: Findings
    least: int
    wines: Mapping[str, WineFinding]
    tasters: Mapping[str, TasterFinding]
    marks: Mapping[str, tuple[Mark, ...]]
    by_site: Mapping[str, tuple[Mark, ...]]
    by_wine: Mapping[str, tuple[Mark, ...]]
    heard: Mapping[str, Heard]
    apart: frozenset[frozenset[str]]
    pairs: tuple[float, ...]
    reference: Reference | None
    past: Mapping[str, tuple[Before, ...]]

    @property
    def usual_gap(self) -> float | None:
        """The middle one of how far second pours lay from first ones; None with few of them."""
        return median(self.pairs) if len(self.pairs) >= 2 * self.least else None

    def label(self, term: str) -> str:
        """What an aroma word is called on the sheet."""
        known = self.sheet.terms_by_key.get(term)
        return term if known is None else known.label

    def level(self, found: TasterFinding) -> Level | None:
        """How far above the others a taster marks, among the others."""
        if found.severity is None:
            return None
        drawn = self.findings.total.severity
        enough = drawn is not None and sum(drawn.counts) >= LEAST_IN_CHART
        own = found.severity
        return Level(
            -own.value,
            -own.high,
            -own.low,
            tuple(-edge for edge in reversed(drawn.edges)) if drawn and enough else (),
            tuple(reversed(drawn.counts)) if drawn and enough else (),
            tuple(
                YearLevel(each.label, -each.level.value, -each.level.high, -each.level.low)
                for each in self.past.get(found.taster, ())[-MOST_YEARS:]
            ),
        )


def group_of(
    sheet: Sheet,
    title: str,
    frame: pl.DataFrame,
    findings: Findings,
    *,
    least: int,
    past: Mapping[str, tuple[Before, ...]] = MappingProxyType({}),
) -> Group:
    """Everything that letters need of a tasting.

    Args:
        sheet: the score sheet.
        title: of the tasting.
        frame: the entries that count, wines and sites by name, as `marks_of_state` gives them.
        findings: the result, with what too few marked left out.
        least: how few marks are too few to say anything of a wine.
        past: levels at earlier tastings, by taster.
    """
    marks = [mark_of(row, sheet) for row in frame.iter_rows(named=True)]
    by_wine = _by(marks, 'wine')
    return Group(
        sheet=sheet,
        title=title,
        findings=findings,
        least=least,
        wines={w.wine: w for w in _with_figures(findings)},
        tasters={each.taster: each for each in findings.by_taster},
        marks=_by(marks, 'taster'),
        by_site=_by(marks, 'site'),
        by_wine=by_wine,
        heard={wine: _heard(of) for wine, of in by_wine.items()},
        apart=frozenset(
            frozenset((pair.a, pair.b))
            for said in _weighed(findings)
            for pair in said.pairs
            if is_told_apart(pair)
        ),
        pairs=tuple(_pairs(marks)),
        reference=_reference(findings, sheet),
        past=past,
    )


def _reference(findings: Findings, sheet: Sheet) -> Reference | None:
    if not findings.connected or not findings.categories:
        return None
    try:
        return reference_of(plain(document(findings)), sheet, findings.source)
    except InputError:
        return None


def mark_of(row: Mapping[str, Any], sheet: Sheet) -> Mark:
    """A row of entries on a sheet."""
    return Mark(
        taster=row['taster'],
        site=row.get('site') or '',
        wine=row['wine'],
        total=row['total'],
        parts={key: row[key] for key in sheet.categories_by_key if row.get(key) is not None},
        terms=frozenset(row.get('terms') or ()),
        faults=tuple(row.get('faults') or ()),
        seconds=row.get('finish_seconds'),
    )


def _by(marks: Iterable[Mark], field: str) -> dict[str, tuple[Mark, ...]]:
    found: dict[str, list[Mark]] = defaultdict(list)
    for mark in marks:
        found[getattr(mark, field)].append(mark)
    return {key: tuple(several) for key, several in found.items()}


def _weighed(findings: Findings) -> list[MarkFindings]:
    if findings.connected or len(findings.parts) < 2:
        return [findings.total]
    return [part.result for part in findings.parts if part.result is not None]


def _with_figures(findings: Findings) -> list[WineFinding]:
    return [w for said in _weighed(findings) for w in said.wines if w.adjusted is not None]


def _heard(marks: Iterable[Mark]) -> Heard:
    """A taster who ticked a term on either of two pours counts once."""
    ticked: dict[str, set[str]] = defaultdict(set)
    for mark in marks:
        if mark.terms:
            ticked[mark.taster] |= mark.terms
    return Heard(len(ticked), Counter(term for terms in ticked.values() for term in terms))


def _pairs(marks: Iterable[Mark]) -> Iterable[float]:
    again: dict[tuple[str, str], list[float]] = defaultdict(list)
    for mark in marks:
        again[mark.taster, mark.wine].append(mark.total)
    for totals in again.values():
        if len(totals) > 1:
            yield abs(totals[0] - totals[1])
