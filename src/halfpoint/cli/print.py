"""`halfpoint print`: the plan on paper."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal, cast

import typer

from halfpoint.cli._record import TastingFile, counted, new_console

if TYPE_CHECKING:
    from halfpoint.publish.handouts import Printed
    from halfpoint.tasting.model import Tasting

SHOWN = 6


def command(
    tasting_file: TastingFile,
    into: Annotated[
        Path, typer.Option(metavar="DIR", help="Folder for the papers; made when it is not there.")
    ],
    paper: Annotated[str, typer.Option(metavar="a4|letter", help="Paper to print on.")] = "a4",
    only: Annotated[
        list[str] | None,
        typer.Option(metavar="KIND", help="Only this kind of paper; may be given again."),
    ] = None,
    site: Annotated[
        str | None, typer.Option(metavar="SITE", help="Only the papers of this site.")
    ] = None,
    bagging: Annotated[
        str, typer.Option(metavar="host|organiser", help="Who puts the bottles into bags.")
    ] = "host",
    plan_file: Annotated[
        Path | None,
        typer.Option(
            "--plan", metavar="FILE.json", help="A plan from a file, when the record has none."
        ),
    ] = None,
    sheets: Annotated[
        bool,
        typer.Option("--sheets", help="Score sheets to mark on, in place of the other papers."),
    ] = False,
    wines_a_page: Annotated[
        int | None,
        typer.Option(metavar="3|4|5", help="Wines on a score sheet; 4 unless fewer fit."),
    ] = None,
    blanks: Annotated[int, typer.Option(metavar="N", help="Spare score sheets for each site.")] = 0,
    layout: Annotated[
        Path | None,
        typer.Option(metavar="FILE.json", help="Where everything stands on the score sheets."),
    ] = None,
    fonts: Annotated[
        Path | None,
        typer.Option(metavar="DIR", help="A folder of fonts, for names in other scripts."),
    ] = None,
) -> None:
    """Print the papers of the plan as PDFs: pour sheets, tags, cards, labels, run sheets, lists.

    With --sheets, the score sheets that tasters mark on.
    """
    from halfpoint.cli._plan_to_print import changes_since, plan_to_print
    from halfpoint.publish.handouts import print_papers
    from halfpoint.tasting.load import load_tasting

    size = _one_of('--paper', paper, {'a4': 'a4', 'letter': 'us-letter'})
    who = _one_of('--bagging', bagging, {'host': 'host', 'organiser': 'organiser'})
    kinds = _kinds(only or ())
    _check_together(sheets, {'--only': only, '--bagging': bagging != 'host'}, unfit=True)
    _check_together(
        sheets, {'--wines-a-page': wines_a_page, '--blanks': blanks, '--layout': layout}
    )
    tasting = load_tasting(tasting_file)
    plan = plan_to_print(tasting, plan_file)
    key = None if site is None else _site(tasting, site, {pour.site for pour in plan.pours})
    changes = changes_since(tasting, plan)
    of_paper = cast("Literal['a4', 'us-letter']", size)
    if sheets:
        from halfpoint.cli._sheets import SheetOptions, print_sheets

        options = SheetOptions(of_paper, key, wines_a_page, blanks, layout, fonts)
        with _progress() as progress:
            told = print_sheets(tasting, plan, into, options, progress)
        _say([*told, *changes])
        return
    with _progress() as progress:
        printed = print_papers(
            tasting,
            plan,
            into,
            paper=of_paper,
            only=kinds,
            site=key,
            bagging=cast("Literal['host', 'organiser']", who),
            fonts=fonts,
            progress=progress,
        )
    _tell(printed, into, changes)


def _one_of(option: str, said: str, known: dict[str, str]) -> str:
    from halfpoint.errors import UsageError

    if said.lower() not in known:
        raise UsageError(f'"{said}"', where=option, expected=" or ".join(known))
    return known[said.lower()]


def _check_together(sheets: bool, given: dict[str, object], *, unfit: bool = False) -> None:
    """Refuse options of other papers with --sheets, and those of score sheets without it."""
    from halfpoint.errors import UsageError

    named = [option for option, value in given.items() if value]
    if named and sheets is unfit:
        with_it = "does not go with --sheets" if unfit else "is about score sheets"
        raise UsageError(
            f"{named[0]} {with_it}",
            where=named[0],
            expected="one or the other" if unfit else f"--sheets {named[0]} …",
        )


def _kinds(only: Sequence[str]) -> tuple[str, ...]:
    from halfpoint.errors import UsageError
    from halfpoint.publish.handouts import KINDS
    from halfpoint.sheet.words import did_you_mean

    named = [name.strip() for said in only for name in said.split(',')]
    for name in named:
        if name not in KINDS:
            expected = f"{', '.join(KINDS)}{did_you_mean(name, KINDS)}"
            raise UsageError(f"'{name}'", where='--only', expected=expected)
    return tuple(dict.fromkeys(named))


def _site(tasting: Tasting, said: str, planned: set[str]) -> str:
    from halfpoint.errors import UsageError
    from halfpoint.sheet.words import did_you_mean

    found = tasting.find_site(said)
    key = found.key if found else said
    if key not in planned:
        names = [*planned, *(site.name for site in tasting.sites)]
        expected = f"a site of the plan{did_you_mean(said, names)}"
        raise UsageError(f"'{said}'", where='--site', expected=expected)
    return key


@contextmanager
def _progress() -> Iterator[Callable[[int, int], None]]:
    """A bar on standard error while papers are set."""
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn

    columns = (TextColumn("Setting the papers"), BarColumn(), MofNCompleteColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("", total=None)
        yield lambda done, of: bar.update(task, completed=done, total=of)


def _tell(printed: Printed, into: Path, changes: Sequence[str]) -> None:
    console = new_console()
    console.print(f"{counted(len(printed.files), 'paper', 'papers')} in {into}")
    folders = sorted({name for path in printed.files for name in _telling(path, into)})
    if folders:
        what = "The folder" if len(folders) == 1 else "The folders"
        names = "names" if len(folders) == 1 else "name"
        said = f"{what} {' and '.join(folders)} {names} the wines"
        console.print(f"{said}: keep them from tasters and stewards.")
    if printed.old:
        console.print("From an earlier printing and not renewed; throw away what is out of date:")
        for path in printed.old[:SHOWN]:
            console.print(f"  {path.relative_to(into)}")
        if len(printed.old) > SHOWN:
            console.print(f"  and {len(printed.old) - SHOWN:,} more")
    _say(changes)


def _say(changes: Sequence[str]) -> None:
    for change in changes:
        new_console().print(change, soft_wrap=True)


def _telling(path: Path, into: Path) -> Iterator[str]:
    """The folder to keep to oneself, for a paper that names wines."""
    from halfpoint.publish.handouts import NAMING_KINDS, ORGANISER

    if {path.stem.removeprefix('all-'), path.parent.name} & NAMING_KINDS:
        inner = path.relative_to(into)
        yield ORGANISER if inner.parts[0] == ORGANISER else inner.parts[1]
