"""From the record of a tasting to marks ready to weigh, wines called by name."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

import polars as pl

from halfpoint.aroma.words import SheetWords
from halfpoint.errors import NotInLedger
from halfpoint.estimate.findings import AuditFinding, HeldFinding, SetAsideFinding
from halfpoint.estimate.result import About, Model
from halfpoint.estimate.weigh import MarkToWeigh
from halfpoint.ledger.audit import audits_so_far
from halfpoint.ledger.replay import State
from halfpoint.ledger.view import current_entries, held_rows
from halfpoint.sheet.form import Sheet
from halfpoint.tasting.model import Tasting


@dataclass(frozen=True, slots=True)
class RecordMarks:
    """What the record holds for the estimate: a tidy frame, its marks, and what is said of it."""

    frame: pl.DataFrame
    marks: tuple[MarkToWeigh, ...]
    covariates: tuple[str, ...]
    held: tuple[HeldFinding, ...]
    set_aside: tuple[SetAsideFinding, ...]
    notes: tuple[str, ...]
    audit: AuditFinding | None
    words: SheetWords

    def model(self, seed: int = 20) -> Model:
        """What `results` asks of the estimate when no option is given."""
        return Model(covariates=self.covariates, seed=seed)

    def about(self, tasting: Tasting) -> About:
        """What the result says about where it comes from."""
        return About(
            tasting.title, tasting.sheet.label, str(tasting.source), tasting.invented,
            self.held, self.set_aside, self.notes, self.audit,
        )  # fmt: skip


def marks_of_state(
    tasting: Tasting,
    state: State,
    *,
    covariates: tuple[str, ...] = (),
    entries: pl.DataFrame | None = None,
) -> RecordMarks:
    """The entries that count at this point of the record.

    Position is adjusted for whenever every entry tells it.

    Args:
        tasting: the tasting file.
        state: how its record stands.
        covariates: columns to adjust for besides.
        entries: `current_entries` of this state, where they are at hand.

    Raises:
        NotInLedger: no entry counts.
    """
    entries = current_entries(state) if entries is None else entries
    if entries.is_empty():
        raise NotInLedger(
            "no sheet was gathered yet",
            where=str(tasting.ledger),
            remedy=f"halfpoint gather {tasting.source} FILE…",
        )
    frame, notes = _tidy(entries)
    adjusted, more = _covariates(covariates, frame)
    return RecordMarks(
        frame=_named(frame, tasting),
        marks=sheet_marks(tasting.sheet, frame.columns),
        covariates=adjusted,
        held=_held(held_rows(state)),
        set_aside=_set_aside(state),
        notes=(*notes, *more),
        audit=_audit(state),
        words=sheet_words(tasting.sheet),
    )


def sheet_marks(sheet: Sheet, columns: list[str]) -> tuple[MarkToWeigh, ...]:
    """The total, and each category where the sheet has several."""
    total = MarkToWeigh('total', "Total", sheet.top, sheet.lowest, _total_step(sheet))
    if len(sheet.categories) < 2:
        return (total,)
    categories = (MarkToWeigh(c.key, c.label, c.top, c.lowest, c.step) for c in sheet.categories)
    return (total, *(c for c in categories if c.column in columns))


def sheet_words(sheet: Sheet) -> SheetWords:
    """What the sheet offers to tick, by key."""
    return SheetWords(
        {key: term.label for key, term in sheet.terms_by_key.items()},
        {family.key: family.label for family in sheet.families},
        {key: fault.label for key, fault in sheet.faults_by_key.items()},
    )


def wine_names(tasting: Tasting) -> dict[str, str]:
    """What each wine is called in a result; by key and name where a name stands twice."""
    return _names({wine.key: wine.name for wine in tasting.wines})


def site_names(tasting: Tasting) -> dict[str, str]:
    """What each site is called in a result; by key and name where a name stands twice."""
    return _names({site.key: site.name for site in tasting.sites})


def _total_step(sheet: Sheet) -> float | None:
    """Step of the total where every category has the same, weights counted in."""
    steps = {round(c.step * c.weight, 9) for c in sheet.categories}
    return steps.pop() if len(steps) == 1 else None


def _audit(state: State) -> AuditFinding | None:
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


def _tidy(entries: pl.DataFrame) -> tuple[pl.DataFrame, tuple[str, ...]]:
    """Leave out the site where no entry, or not every entry, tells it."""
    missing = entries.get_column('site').null_count()
    if missing == 0:
        return entries, ()
    if missing == entries.height:
        return entries.drop('site'), ()
    note = f"{missing} entries tell no site, so sites and bottles are left out of the model."
    return entries.drop('site'), (note,)


def _covariates(
    asked: tuple[str, ...], frame: pl.DataFrame
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    position = frame.get_column('position')
    if 'position' in asked or position.null_count() == position.len():
        return asked, ()
    if position.null_count():
        note = (
            f"{position.null_count()} entries tell no place in the serving order, so the "
            "scores are not adjusted for it."
        )
        return asked, (note,)
    if position.n_unique() < 2:
        return asked, ()
    return ('position', *asked), ()


def _named(frame: pl.DataFrame, tasting: Tasting) -> pl.DataFrame:
    """Wines and sites by name; by key and name where a name stands twice."""
    columns = [pl.col('wine').replace(wine_names(tasting))]
    if 'site' in frame.columns:
        columns.append(pl.col('site').replace(site_names(tasting)))
    return frame.with_columns(columns)


def _names(names: dict[str, str]) -> dict[str, str]:
    twice = Counter(names.values())
    return {key: name if twice[name] == 1 else f'{name} ({key})' for key, name in names.items()}


def _held(rows: pl.DataFrame) -> tuple[HeldFinding, ...]:
    names = ('file', 'row', 'field', 'found', 'expected')
    return tuple(HeldFinding(*row) for row in rows.select(names).iter_rows())


def _set_aside(state: State) -> tuple[SetAsideFinding, ...]:
    return tuple(
        SetAsideFinding(
            state.called.get(entry.now.taster, entry.now.taster),
            entry.now.wine,
            standing.who,
            standing.why,
        )
        for entry, standing in state.set_aside()
    )
