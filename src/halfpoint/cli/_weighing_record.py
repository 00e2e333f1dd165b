"""Marks for `results` from the record of a tasting."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from halfpoint.cli._record import open_record
from halfpoint.cli._weighing import Asked, Collected, sheet_marks, sheet_words
from halfpoint.errors import NotInLedger, UsageError
from halfpoint.estimate.findings import AuditFinding, HeldFinding, SetAsideFinding

if TYPE_CHECKING:
    import polars as pl

    from halfpoint.ledger.replay import State
    from halfpoint.tasting.model import Tasting


def marks_of_record(asked: Asked) -> Collected:
    """The entries that count now, with the wines called by name.

    Raises:
        UsageError: an option that only a table takes.
        NotInLedger: nothing was gathered yet.
    """
    from halfpoint.ledger.replay import replay
    from halfpoint.ledger.view import current_entries, held_rows, set_aside_entries
    from halfpoint.tasting.load import load_tasting

    _refuse_table_options(asked)
    tasting = load_tasting(asked.source)
    with open_record(tasting) as record:
        state = replay(record.records())
    entries = current_entries(state)
    if entries.is_empty():
        raise NotInLedger(
            'no sheet was gathered yet',
            where=str(tasting.ledger),
            remedy=f'halfpoint gather {asked.source} FILE…',
        )
    frame, notes = _tidy(entries)
    marks = sheet_marks(tasting.sheet, frame.columns)
    covariates, more = _covariates(asked, frame)
    return Collected(
        frame=_named(frame, tasting),
        marks=marks,
        covariates=covariates,
        title=tasting.title,
        sheet=tasting.sheet.label,
        invented=tasting.invented,
        held=_held(held_rows(state)),
        set_aside=_set_aside(set_aside_entries(state)),
        notes=(*notes, *more),
        gathered=None,
        source=asked.source,
        audit=_audit(state),
        words=sheet_words(tasting.sheet),
    )


def _audit(state: State) -> AuditFinding | None:
    from halfpoint.ledger.audit import audits_so_far

    found = audits_so_far(state)
    if found is None:
        return None
    return AuditFinding(
        pages=found.pages,
        marks=found.marks,
        boxes=found.boxes,
        wrong_marks=found.wrong_marks,
        wrong_boxes=found.wrong_boxes,
        confidence=found.level,
        marks_below=found.marks_below,
        boxes_below=found.boxes_below,
    )


def _refuse_table_options(asked: Asked) -> None:
    given = {'--mark': asked.mark, '--sheet': asked.sheet, '--map': asked.mapping}
    for option, value in given.items():
        if value:
            raise UsageError(
                'a tasting file already says this',
                where=option,
                remedy='leave the option out, or weigh a table of marks instead',
            )


def _tidy(entries: pl.DataFrame) -> tuple[pl.DataFrame, tuple[str, ...]]:
    """Leave out the site where no entry, or not every entry, tells it."""
    missing = entries.get_column('site').null_count()
    if missing == 0:
        return entries, ()
    if missing == entries.height:
        return entries.drop('site'), ()
    note = f"{missing} entries tell no site, so sites and bottles are left out of the model."
    return entries.drop('site'), (note,)


def _covariates(asked: Asked, frame: pl.DataFrame) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Position is adjusted for whenever every entry tells it."""
    position = frame.get_column('position')
    if 'position' in asked.covariates or position.null_count() == position.len():
        return asked.covariates, ()
    if position.null_count():
        note = (
            f"{position.null_count()} entries tell no place in the serving order, so the "
            "scores are not adjusted for it."
        )
        return asked.covariates, (note,)
    if position.n_unique() < 2:
        return asked.covariates, ()
    return ('position', *asked.covariates), ()


def _named(frame: pl.DataFrame, tasting: Tasting) -> pl.DataFrame:
    """Wines and sites by name; by key and name where a name stands twice."""
    import polars as pl

    wines = _names({wine.key: wine.name for wine in tasting.wines})
    sites = _names({site.key: site.name for site in tasting.sites})
    columns = [pl.col('wine').replace(wines)]
    if 'site' in frame.columns:
        columns.append(pl.col('site').replace(sites))
    return frame.with_columns(columns)


def _names(names: dict[str, str]) -> dict[str, str]:
    twice = Counter(names.values())
    return {key: name if twice[name] == 1 else f'{name} ({key})' for key, name in names.items()}


def _held(rows: pl.DataFrame) -> tuple[HeldFinding, ...]:
    names = ('file', 'row', 'field', 'found', 'expected')
    return tuple(HeldFinding(*row) for row in rows.select(names).iter_rows())


def _set_aside(rows: pl.DataFrame) -> tuple[SetAsideFinding, ...]:
    names = ('taster', 'wine', 'who', 'why')
    return tuple(SetAsideFinding(*row) for row in rows.select(names).iter_rows())
