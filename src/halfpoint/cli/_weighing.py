"""What `results` does between its options and its outputs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from halfpoint.errors import UsageError
from halfpoint.estimate.findings import AuditFinding, Findings, HeldFinding, SetAsideFinding

if TYPE_CHECKING:
    import polars as pl
    from rich.console import Console

    from halfpoint.aroma.words import SheetWords
    from halfpoint.collect.table.gather import Gathered
    from halfpoint.estimate.weigh import MarkToWeigh
    from halfpoint.ledger.replay import State
    from halfpoint.tasting.model import Tasting

DEFAULT_SHEET = 'twenty-point'


@dataclass(frozen=True, slots=True)
class Past:
    """Where the record over years and the society's key are; `fresh` for neither."""

    years: Path | None = None
    society: Path | None = None
    fresh: bool = False


@dataclass(frozen=True, slots=True)
class Asked:
    """The options of `results`, checked. `effects` None: all that the table supports."""

    source: Path
    sheet: str | None
    mark: str | None
    form: Literal['fixed', 'random']
    effects: tuple[str, ...] | None
    covariates: tuple[str, ...]
    mapping: Mapping[str, str]
    seed: int
    least: int = 5
    past: Past = Past()

    @classmethod
    def from_options(
        cls,
        *,
        source: Path,
        sheet: str | None,
        mark: str | None,
        wines: str,
        effects: str | None,
        covariates: tuple[str, ...],
        mapping: tuple[str, ...],
        seed: int,
        least: int = 5,
        past: Past = Past(),
    ) -> Asked:
        """Check the options.

        Raises:
            UsageError: naming the option, what was found and what was expected.
        """
        if wines not in ('fixed', 'random'):
            raise UsageError(f'"{wines}"', where='--wines', expected='fixed or random')
        form: Literal['fixed', 'random'] = 'random' if wines == 'random' else 'fixed'
        return cls(
            source,
            sheet,
            mark,
            form,
            _effects(effects),
            covariates,
            _mapping(mapping),
            seed,
            least,
            past,
        )

    @property
    def from_record(self) -> bool:
        """Whether the source is a tasting file."""
        return self.source.suffix.lower() == '.toml'


def _effects(text: str | None) -> tuple[str, ...] | None:
    if text is None:
        return None
    names = tuple(name.strip() for name in text.split(',') if name.strip())
    if not names:
        raise UsageError(
            'no effect is named', where='--effects', expected="taster,site,bottle, or 'none'"
        )
    if names == ('none',):
        return ()
    twice = {name for name in names if names.count(name) > 1}
    if twice:
        raise UsageError(f'"{twice.pop()}" stands twice', where='--effects')
    return names


def _mapping(texts: tuple[str, ...]) -> dict[str, str]:
    made: dict[str, str] = {}
    for role, column in map(_pair, texts):
        if made.setdefault(role, column) != column:
            raise UsageError(
                f'{role} is both "{made[role]}" and "{column}"',
                where='--map',
                expected='one column for each role',
            )
    return made


def _pair(text: str) -> tuple[str, str]:
    role, equals, column = text.partition('=')
    if not equals or not role.strip():
        raise UsageError(
            f'"{text}"', where='--map', expected='ROLE=COLUMN, as in --map taster=rater'
        )
    return role.strip(), column.strip()


@dataclass(frozen=True, slots=True)
class Collected:
    """Marks ready to weigh, and what the result says about where they came from."""

    frame: pl.DataFrame
    marks: tuple[MarkToWeigh, ...]
    covariates: tuple[str, ...]
    title: str
    sheet: str
    invented: bool
    held: tuple[HeldFinding, ...]
    set_aside: tuple[SetAsideFinding, ...]
    notes: tuple[str, ...]
    gathered: Gathered | None
    source: Path
    audit: AuditFinding | None = None
    words: SheetWords | None = None
    tasting: Tasting | None = None
    state: State | None = None

    @property
    def told(self) -> tuple[str, ...]:
        """Notes that the account of the table has told already."""
        return () if self.gathered is None else self.gathered.notes


def gather_marks(asked: Asked) -> Collected:
    """Marks from the record of a tasting, or from a table."""
    if asked.from_record:
        from halfpoint.cli._weighing_record import marks_of_record

        return marks_of_record(asked)
    return _marks_of_table(asked)


def _marks_of_table(asked: Asked) -> Collected:
    from halfpoint.collect.table.gather import read_marks
    from halfpoint.estimate.weigh import MarkToWeigh
    from halfpoint.publish.from_record import sheet_marks, sheet_words
    from halfpoint.sheet.load import load_sheet

    chosen = asked.sheet or (None if asked.mark else DEFAULT_SHEET)
    sheet = None if chosen is None else load_sheet(chosen)
    gathered = read_marks(
        asked.source,
        sheet=sheet,
        mark=asked.mark,
        mapping=asked.mapping,
        covariates=[c for c in asked.covariates if c != 'position'],
        extra=_further_columns(asked.effects),
    )
    if asked.mark is not None:
        top = None if sheet is None else sheet.top
        marks: tuple[MarkToWeigh, ...] = (MarkToWeigh('total', asked.mark, top),)
    else:
        marks = sheet_marks(sheet, gathered.entries.columns) if sheet else ()
    notes = list(gathered.notes)
    if 'position' in gathered.entries.columns and 'position' not in asked.covariates:
        notes.append(
            "The table tells the place in the serving order; --covariate position adjusts for it."
        )
    return Collected(
        frame=gathered.entries,
        marks=marks,
        covariates=asked.covariates,
        title=asked.source.stem.replace('_', ' '),
        sheet='' if sheet is None else sheet.label,
        invented=False,
        held=tuple(HeldFinding(h.file, h.row, h.field, h.found, h.expected) for h in gathered.held),
        set_aside=(),
        notes=tuple(notes),
        gathered=gathered,
        source=asked.source,
        words=None if sheet is None else sheet_words(sheet),
    )


def refuse_nothing(collected: Collected) -> None:
    """Refuse a table of which every row was held.

    Raises:
        NothingAccepted: with the commonest reasons.
    """
    from halfpoint.collect.table.gather import nothing_accepted

    gathered = collected.gathered
    if gathered is not None and gathered.entries.is_empty():
        raise nothing_accepted(gathered.held, gathered.source)


def _further_columns(effects: tuple[str, ...] | None) -> list[str]:
    """Columns that effects name beyond those that every table is asked for."""
    parts = {part for name in effects or () for part in name.split(':')}
    return sorted(parts - {'taster', 'site', 'wine', 'bottle', 'position'})


def weigh(asked: Asked, collected: Collected, console: Console) -> Findings:
    """The result, without what too few marks carry, saying what is being weighed meanwhile."""
    from halfpoint.estimate.result import About, Model, refuse_lone_taster
    from halfpoint.publish.whole_result import Depth, whole_result
    from halfpoint.publish.withheld import withhold

    refuse_lone_taster(collected.frame)
    model = Model(asked.effects, asked.form, collected.covariates, asked.seed)
    about = About(
        collected.title,
        collected.sheet,
        str(asked.source),
        collected.invented,
        collected.held,
        collected.set_aside,
        collected.notes,
        collected.audit,
    )
    with console.status("Weighing the marks") as status:
        findings = whole_result(
            collected.frame,
            collected.marks,
            model,
            about,
            words=collected.words,
            depth=Depth(least=asked.least),
            progress=lambda label: status.update(f"Weighing: {label}"),
        )
    return withhold(_from_past(findings, asked.past, collected), asked.least)


def _from_past(findings: Findings, past: Past, collected: Collected) -> Findings:
    """The findings from each taster's own record on, where that was asked for."""
    tasting = collected.tasting
    named = tasting is not None and (tasting.years or tasting.society)
    if past.fresh or not (past.years or past.society or named):
        return findings
    from halfpoint.cli._years import own_past
    from halfpoint.teach.own_past import of_record, of_table

    where = own_past(past.years, past.society, tasting)
    if where is None:
        return findings
    if tasting is None or collected.state is None:
        return of_table(findings, *where)
    return of_record(findings, tasting, collected.state, *where)
