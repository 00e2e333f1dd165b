"""`halfpoint set-aside`: kept, but left out of the result, by whom and why."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Annotated

import typer

from halfpoint.cli._record import TastingFile, Who, Why, counted, open_record

if TYPE_CHECKING:
    from halfpoint.ledger.records import Target
    from halfpoint.tasting.model import Tasting


def command(
    tasting_file: TastingFile,
    who: Who,
    why: Why,
    entry: Annotated[
        list[int] | None, typer.Option(metavar="NUMBER", help="An entry; may be given again.")
    ] = None,
    taster: Annotated[
        str | None, typer.Option(metavar="NAME", help="All entries of this taster, later ones too.")
    ] = None,
    site: Annotated[
        str | None, typer.Option(metavar="NAME", help="With --wine: the bottle of this site.")
    ] = None,
    wine: Annotated[
        str | None, typer.Option(metavar="NAME", help="With --site: its bottle of this wine.")
    ] = None,
    held: Annotated[
        list[int] | None,
        typer.Option(metavar="NUMBER", help="A held row that needs no mending; may be repeated."),
    ] = None,
    restore: Annotated[bool, typer.Option("--restore", help="Undo a set-aside.")] = False,
) -> None:
    """Leave entries out of the result, or bring them back. Nothing is taken from the record."""
    from halfpoint.ledger.changes import restore as bring_back
    from halfpoint.ledger.changes import set_aside
    from halfpoint.tasting.load import load_tasting

    tasting = load_tasting(tasting_file)
    targets = _targets(tasting, entry or [], held or [], taster, site, wine)
    with open_record(tasting) as ledger:
        if restore:
            for standing in bring_back(ledger, targets, who=who, why=why):
                typer.echo(
                    f"Counts again: {standing.target} (set aside by {standing.who}: {standing.why})"
                )
        else:
            for target, covered in set_aside(ledger, targets, who=who, why=why).items():
                what = "row" if target.held else counted(covered, "entry", "entries")
                typer.echo(f"Set aside: {target} ({what})")


def _targets(
    tasting: Tasting,
    entries: Sequence[int],
    held: Sequence[int],
    taster: str | None,
    site: str | None,
    wine: str | None,
) -> list[Target]:
    from halfpoint.errors import UsageError

    targets = list(_named(tasting, entries, held, taster, site, wine))
    if not targets:
        raise UsageError(
            "nothing to set aside",
            where="set-aside",
            expected="--entry, --held, --taster, or --site with --wine",
        )
    return targets


def _named(
    tasting: Tasting,
    entries: Sequence[int],
    held: Sequence[int],
    taster: str | None,
    site: str | None,
    wine: str | None,
) -> Iterator[Target]:
    from halfpoint.collect.table.known_names import known_site, known_taster, known_wine
    from halfpoint.errors import UsageError
    from halfpoint.ledger.records import Target

    for number in entries:
        yield Target(entry=number)
    for number in held:
        yield Target(held=number)
    if taster is not None:
        yield Target(taster=known_taster(tasting, taster))
    if site is not None and wine is None:
        raise UsageError("a site without a wine", where="--site", expected="--wine beside it")
    if wine is not None and site is None and tasting.sites:
        raise UsageError(
            "a wine without a site",
            where="--wine",
            expected="--site beside it",
            remedy="to set aside one taster's sheet, give its number with --entry",
        )
    if wine is not None:
        where = known_site(tasting, site) if site is not None else None
        yield Target(site=where, wine=known_wine(tasting, wine))
