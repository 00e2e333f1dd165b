"""`halfpoint gather`: tables of marks into the record."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from halfpoint.cli._bundles import is_bundle
from halfpoint.cli._record import TastingFile, counted, new_console, open_record

if TYPE_CHECKING:
    from rich.console import Console

    from halfpoint.collect.table.gather import HeldRow
    from halfpoint.collect.table.poured import Poured
    from halfpoint.errors import HalfpointError
    from halfpoint.ledger.intake import Intake
    from halfpoint.ledger.ledger import Ledger
    from halfpoint.ledger.records import RowHeld
    from halfpoint.ledger.replay import State
    from halfpoint.tasting.model import Tasting


def command(
    tasting_file: TastingFile,
    files: Annotated[
        list[Path],
        typer.Argument(
            metavar="FILE...", help="Tables of marks, bundles of sites, or held.csv mended."
        ),
    ],
    mapping: Annotated[
        list[str] | None,
        typer.Option("--map", metavar="ROLE=COLUMN", help="Say which column is what."),
    ] = None,
    keep: Annotated[
        list[str] | None,
        typer.Option(metavar="COLUMN", help="Also record this column of every file."),
    ] = None,
    held: Annotated[
        Path | None,
        typer.Option(metavar="FILE.csv", help="Where held rows go (held.csv by the tasting file)."),
    ] = None,
    who: Annotated[
        str, typer.Option(metavar="NAME", help="Who hands this in; kept in the record.")
    ] = "organiser",
) -> None:
    """Read tables of marks, and bundles of sites, into the record.

    What cannot be accepted is held, never dropped.
    """
    from halfpoint.cli._planned import plan_for_tables
    from halfpoint.ledger.replay import replay
    from halfpoint.tasting.load import load_tasting

    tasting = load_tasting(tasting_file)
    roles, console = _roles(mapping or []), new_console()
    with open_record(tasting, create=True, who=who) as ledger:
        state = replay(ledger.records())
        poured = plan_for_tables(tasting, state)
        reading = _Reading(tasting, poured, roles, tuple(keep or ()), who, console)
        before = list(state.waiting().values())
        try:
            outcomes = [reading.take(ledger, state, file) for file in files]
        finally:
            replay(ledger.records(after=state.last), state)
            _write_held(reading.console, held or tasting_file.parent / 'held.csv', before, state)
    _finish(outcomes)


@dataclass(frozen=True, slots=True)
class _Outcome:
    """What became of one file."""

    held: Sequence[HeldRow] = ()
    accepted: int = 0
    refusal: HalfpointError | None = None


@dataclass(frozen=True, slots=True)
class _Reading:
    """How files are read in this run."""

    tasting: Tasting
    poured: Poured | None
    mapping: Mapping[str, str]
    keep: tuple[str, ...]
    who: str
    console: Console

    def take(self, ledger: Ledger, state: State, file: Path) -> _Outcome:
        """Read one file into the record, and say what became of its rows."""
        from halfpoint.cli._account import print_account
        from halfpoint.collect.table.gather import read_marks
        from halfpoint.errors import InputError, UsageError
        from halfpoint.ledger.from_table import arrivals, as_held_rows, name_of
        from halfpoint.ledger.intake import take_in

        if is_bundle(file):
            return self._bundle(ledger, state, file)
        try:
            gathered = read_marks(
                file,
                sheet=self.tasting.sheet,
                mapping=self.mapping,
                extra=self.keep,
                tasting=self.tasting,
                poured=self.poured,
            )
        except (InputError, UsageError) as refusal:
            self.console.print(f"{file.name}: not gathered, see below")
            return _Outcome(refusal=refusal)
        name = name_of(file, self.tasting)
        arrived = arrivals(gathered, self.tasting, name=name, keep=self.keep)
        intake = take_in(
            ledger,
            file=name,
            digest=gathered.digest,
            entries=arrived.entries,
            held=arrived.held,
            mended=arrived.mended,
            who=self.who,
            state=state,
        )
        print_account(self.console, gathered)
        self.console.print(f"{name}: {_counts(intake)}")
        held = as_held_rows((*intake.held, *intake.held_before))
        return _Outcome(held, intake.new + intake.already)

    def _bundle(self, ledger: Ledger, state: State, file: Path) -> _Outcome:
        from halfpoint.cli._bundles import take_bundle
        from halfpoint.errors import InputError, UsageError
        from halfpoint.ledger.from_table import as_held_rows

        held_before = set(state.waiting())
        try:
            taken = take_bundle(self.tasting, self.poured, ledger, state, file, self.who)
        except (InputError, UsageError) as refusal:
            self.console.print(f"{file.name}: not gathered, see below")
            return _Outcome(refusal=refusal)
        held = [row for number, row in state.waiting().items() if number not in held_before]
        sheets = counted(taken.new, "new entry", "new entries")
        self.console.print(
            f"{file.name}: {sheets}, {taken.already:,} already there, {len(held):,} held"
        )
        return _Outcome(as_held_rows(held), taken.new + taken.already + len(taken.held))


def _roles(written: Sequence[str]) -> dict[str, str]:
    from halfpoint.errors import UsageError

    roles = {}
    for text in written:
        role, equals, column = text.partition('=')
        if not (equals and role.strip()):
            raise UsageError(f"'{text}'", where="--map", expected="role=column, as in taster=Name")
        roles[role.strip()] = column.strip()
    return roles


def _counts(intake: Intake) -> str:
    entries = counted(intake.new, "new entry", "new entries")
    before = f", {len(intake.held_before):,} held before" if intake.held_before else ""
    return f"{entries}, {intake.already:,} already there, {len(intake.held):,} held{before}"


def _write_held(console: Console, place: Path, before: Sequence[RowHeld], after: State) -> None:
    from halfpoint.cli._held_files import write_held_files
    from halfpoint.ledger.from_table import as_held_rows

    waiting = after.waiting()
    written = write_held_files(
        place,
        before=as_held_rows(before),
        now=as_held_rows(list(waiting.values())),
        gathered=after.digests,
    )
    console.print(f"{counted(len(after.entries), 'entry', 'entries')} in the record")
    if written:
        files = ", ".join(map(str, written))
        console.print(f"{counted(len(waiting), 'row needs', 'rows need')} a look: {files}")
        again = "that file" if len(written) == 1 else "those files"
        console.print(f"Mend them there and gather {again}; rows mended are held no longer.")


def _finish(outcomes: Sequence[_Outcome]) -> None:
    """Refuse when a file could not be read, or when nothing at all could be accepted."""
    from halfpoint.collect.table.gather import nothing_accepted

    refusals = [outcome.refusal for outcome in outcomes if outcome.refusal]
    for refusal in refusals[:-1]:
        typer.echo(f"halfpoint: {refusal}", err=True)
    if refusals:
        raise refusals[-1]
    if not sum(outcome.accepted for outcome in outcomes):
        held = [row for outcome in outcomes for row in outcome.held]
        raise nothing_accepted(held, where=", ".join(dict.fromkeys(row.file for row in held)))
