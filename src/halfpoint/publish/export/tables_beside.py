"""Tables of what is told beside the main estimate: bottles, tasters, panel, aromas."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import fields
from typing import Any

from halfpoint.aroma.said import AromaWine, TermFinding
from halfpoint.estimate.findings import Findings, SuspectBottle
from halfpoint.estimate.scale.said import ScaleWine
from halfpoint.panel.said import DecisionFinding, PanelFindings, TasterFinding

Tables = dict[str, tuple[Sequence[str], Iterable[Sequence[Any]]]]


def tables_beside(findings: Findings) -> Tables:
    """File name → header and rows, of the tables that have something to tell."""
    made: Tables = {}
    if findings.suspects:
        header = ('site', 'wine', 'shift', 'se', 'low', 'high', 'marks', 'faults_here', 'p',
                  'p_adjusted', 'suggested')  # fmt: skip
        made['suspect_bottles.csv'] = (header, map(_suspect, findings.suspects))
    if findings.by_taster:
        made['tasters.csv'] = (_TASTER_COLUMNS, map(_taster, findings.by_taster))
    if findings.scale is not None:
        made['scale_use.csv'] = (names_of(ScaleWine), map(row_of, findings.scale.wines))
    if findings.panel is not None:
        made['panel.csv'] = (('figure', 'value', 'low', 'high'), _figures(findings.panel))
        made['decisions.csv'] = (names_of(DecisionFinding), map(row_of, findings.panel.decisions))
    if findings.aroma is not None and findings.aroma.terms:
        wines = [wine.wine for wine in findings.aroma.wines]
        made['terms.csv'] = ((*_TERM_COLUMNS, *wines), map(_term, findings.aroma.terms))
        made['finish.csv'] = (_FINISH_COLUMNS, map(_finish, findings.aroma.wines))
    return made


_INTERVALS = ('severity', 'spread', 'noise', 'agreement')
_TASTER_COLUMNS = (
    'taster', 'site', 'marks', 'wines', 'complete', 'withheld',
    *(f'{name}{end}' for name in _INTERVALS for end in ('', '_low', '_high')),
    'telling', 'repeatability', 'second_pours', 'discrimination_p', 'scale_used', 'infit', 'outfit',
)  # fmt: skip
_TERM_COLUMNS = (
    'key', 'label', 'kind', 'ticked', 'q', 'p', 'p_adjusted', 'change', 'change_low',
    'change_high', 'change_p', 'change_tasters',
)  # fmt: skip
_FINISH_COLUMNS = ('wine', 'entries', 'timed', 'finish', 'finish_low', 'finish_high')


def _suspect(bottle: SuspectBottle) -> tuple[Any, ...]:
    return (
        bottle.site, bottle.wine, bottle.shift, bottle.se, bottle.low, bottle.high, bottle.marks,
        None if bottle.faults is None else bottle.faults.here, bottle.p, bottle.p_adjusted,
        bottle.suggested,
    )  # fmt: skip


def _taster(taster: TasterFinding) -> tuple[Any, ...]:
    told = {name: getattr(taster, name) for name in _TASTER_COLUMNS if hasattr(taster, name)}
    for name in _INTERVALS:
        found = getattr(taster, name)
        told[name] = None if found is None else found.value
        told[f'{name}_low'] = None if found is None else found.low
        told[f'{name}_high'] = None if found is None else found.high
    return tuple(told[name] for name in _TASTER_COLUMNS)


def _figures(panel: PanelFindings) -> Iterator[tuple[Any, ...]]:
    for form in panel.intraclass:
        yield form.form, form.value, form.low, form.high
    if panel.concordance is not None:
        yield "Kendall's W", panel.concordance.w, None, None
    for alpha in panel.alphas:
        yield f'alpha, {alpha.kind}', alpha.alpha, alpha.low, alpha.high
    for source in panel.sources:
        yield f'variance, {source.source}', source.estimate, None, None
    yield 'reliability of the order', panel.relative, None, None
    yield 'reliability of the level', panel.absolute, None, None


def _term(term: TermFinding) -> tuple[Any, ...]:
    return (*(getattr(term, name) for name in _TERM_COLUMNS), *term.counts)


def _finish(wine: AromaWine) -> tuple[Any, ...]:
    return tuple(getattr(wine, name) for name in _FINISH_COLUMNS)


def names_of(shape: type) -> tuple[str, ...]:
    """The fields of a dataclass, as a header."""
    return tuple(field.name for field in fields(shape))


def row_of(finding: Any) -> tuple[Any, ...]:
    """One finding as a row under `names_of` its class."""
    return tuple(getattr(finding, name) for name in finding.__slots__)
