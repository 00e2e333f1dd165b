"""The result as CSV tables, one a subject, for spreadsheets."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import fields
from pathlib import Path
from typing import Any

from halfpoint.estimate.findings import (
    CovariateFinding,
    Findings,
    HeldFinding,
    MarkFindings,
    PairFinding,
    WineFinding,
)
from halfpoint.publish.export.document import plain
from halfpoint.publish.export.tables_beside import names_of, row_of, tables_beside
from halfpoint.writing import make_folder_safely, write_text_safely

_FORMULA_STARTS = ('=', '+', '-', '@', '\t', '\r')
_WINE_COLUMNS = tuple(f.name for f in fields(WineFinding) if f.name != 'rank_probability')


def write_csv(findings: Findings, directory: Path) -> None:
    """Write wines, pairs, components, ranks, categories, held and covariates as CSV.

    UTF-8 with a header row; what has no value is empty. A text that a spreadsheet would
    take for a formula gets an apostrophe before it. The folder is made when missing.

    Raises:
        DiskFull: no space was left.
        OutputError: the folder or a file could not be written for another reason.
    """
    make_folder_safely(directory)
    for name, (header, rows) in tables(findings).items():
        write_text_safely(Path(directory) / name, csv_text(header, rows))


def tables(findings: Findings) -> dict[str, tuple[Sequence[str], Iterable[Sequence[Any]]]]:
    """File name → header and rows. Parts of a tasting that is not connected are all told."""
    weighed = _weighed(findings)
    return {
        'wines.csv': (_WINE_COLUMNS, _wines(findings, weighed)),
        'pairs.csv': (names_of(PairFinding), (row_of(p) for m in weighed for p in m.pairs)),
        'components.csv': (
            ('mark', 'component', 'variance', 'low', 'high'), _components(findings, weighed),
        ),
        'ranks.csv': (('wine', 'place', 'probability'), _ranks(weighed)),
        'categories.csv': (('category', *_WINE_COLUMNS), _categories(findings)),
        'held.csv': (names_of(HeldFinding), (row_of(held) for held in findings.held)),
        'covariates.csv': (
            ('mark', *names_of(CovariateFinding)), _covariates(findings, weighed),
        ),
        **tables_beside(findings),
    }  # fmt: skip


def _weighed(findings: Findings) -> list[MarkFindings]:
    parts = [part.result for part in findings.parts if part.result is not None]
    return parts if parts and not findings.connected else [findings.total]


def _wine_row(wine: WineFinding) -> tuple[Any, ...]:
    return tuple(getattr(wine, name) for name in _WINE_COLUMNS)


def _wines(findings: Findings, weighed: Sequence[MarkFindings]) -> Iterator[tuple[Any, ...]]:
    told = {wine.wine for marks in weighed for wine in marks.wines}
    for marks in weighed:
        yield from map(_wine_row, marks.wines)
    yield from (_wine_row(wine) for wine in findings.total.wines if wine.wine not in told)


def _kinds(
    findings: Findings, weighed: Sequence[MarkFindings]
) -> Iterator[tuple[str, MarkFindings]]:
    for number, marks in enumerate(weighed, 1):
        yield ('total' if len(weighed) == 1 else f'total, group {number}'), marks
    yield from findings.categories.items()


def _components(findings: Findings, weighed: Sequence[MarkFindings]) -> Iterator[tuple[Any, ...]]:
    for kind, marks in _kinds(findings, weighed):
        for source, component in marks.components.items():
            yield (kind, source, *row_of(component))


def _covariates(findings: Findings, weighed: Sequence[MarkFindings]) -> Iterator[tuple[Any, ...]]:
    for kind, marks in _kinds(findings, weighed):
        for covariate in marks.covariates:
            yield (kind, *row_of(covariate))


def _ranks(weighed: Sequence[MarkFindings]) -> Iterator[tuple[Any, ...]]:
    for marks in weighed:
        for wine in marks.wines:
            for place, probability in enumerate(wine.rank_probability, 1):
                if probability > 0:
                    yield wine.wine, place, probability


def _categories(findings: Findings) -> Iterator[tuple[Any, ...]]:
    for key, marks in findings.categories.items():
        for wine in marks.wines:
            yield (key, *_wine_row(wine))


def csv_text(header: Sequence[str], rows: Iterable[Sequence[Any]]) -> str:
    """A header and rows as CSV; what a spreadsheet would take for a formula is guarded."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator='\n')
    writer.writerow(header)
    writer.writerows([_cell(value) for value in row] for row in rows)
    return text.getvalue().encode('utf-8', 'replace').decode('utf-8')


def _cell(value: Any) -> Any:
    if isinstance(value, str) and value.startswith(_FORMULA_STARTS) and not _is_number(value):
        return f"'{value}"
    return plain(value)


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True
