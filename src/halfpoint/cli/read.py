"""`halfpoint read`: score sheets on paper back into the record."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from halfpoint.cli._record import TastingFile, new_console

if TYPE_CHECKING:
    from halfpoint.tasting.model import Tasting

MOST_WORKERS = 64
MOST_AUDITED = 10_000


def command(
    tasting_file: TastingFile,
    scans: Annotated[
        list[Path] | None,
        typer.Argument(metavar="SCAN...", help="Scans and photographs, or folders of them."),
    ] = None,
    json_to: Annotated[
        str | None,
        typer.Option("--json", metavar="FILE|-", help="What stands on every page, as JSON."),
    ] = None,
    marks: Annotated[
        Path | None,
        typer.Option(metavar="FILE.csv", help="The accepted marks of these scans, as a table."),
    ] = None,
    workers: Annotated[
        int | None,
        typer.Option(metavar="N", help="Processes that read; one for each core unless said."),
    ] = None,
    everything: Annotated[
        bool, typer.Option("--all", help="List every held page and every seat not seen yet.")
    ] = False,
    review: Annotated[
        bool, typer.Option("--review", help="Decide doubtful marks, one after another.")
    ] = False,
    as_list: Annotated[
        bool, typer.Option("--list", help="With --review: only list the doubtful marks.")
    ] = False,
    show: Annotated[
        str | None,
        typer.Option(metavar="terminal|file|both", help="With --review: where pictures are shown."),
    ] = None,
    audit: Annotated[
        int | None,
        typer.Option(metavar="N", help="Look at N pages drawn at random a second time."),
    ] = None,
    seed: Annotated[
        int | None, typer.Option(metavar="S", help="With --audit: seed of the draw.")
    ] = None,
    into: Annotated[
        Path | None,
        typer.Option(metavar="DIR", help="With --audit: folder for the pictures of the pages."),
    ] = None,
    who: Annotated[
        str, typer.Option(metavar="NAME", help="Who reads or decides; kept in the record.")
    ] = "organiser",
) -> None:
    """Read scans and photographs of score sheets into the record.

    A mark that cannot be told for sure waits for a person: --review asks.
    """
    from halfpoint.tasting.load import load_tasting

    _check_together(
        scans,
        {'--json': json_to, '--marks': marks, '--workers': workers, '--all': everything},
        review,
        {'--list': as_list, '--show': show},
        audit is not None,
        {'--seed': seed, '--into': into},
    )
    _check_name(who)
    tasting = load_tasting(tasting_file)
    if review:
        _review(tasting, as_list, show, who)
    elif audit is not None:
        _audit(tasting, audit, seed, into, who)
    else:
        from halfpoint.cli._reading import ReadOptions, read_scans

        options = ReadOptions(json_to, marks, _counted('--workers', workers), everything, who)
        read_scans(tasting, scans or (), options)


def _check_together(
    scans: Sequence[Path] | None,
    of_scans: dict[str, object],
    review: bool,
    of_review: dict[str, object],
    audit: bool,
    of_audit: dict[str, object],
) -> None:
    """One of three things is done at a time, each with its own options."""
    from halfpoint.errors import UsageError

    asked = [name for name, on in (('--review', review), ('--audit', audit)) if on]
    doing = ["SCAN…"] * bool(scans) + asked
    if len(doing) != 1:
        raise UsageError(
            " and ".join(doing) if doing else "nothing to read",
            where='halfpoint read',
            expected="scans, or --review, or --audit N: one at a time",
        )
    kinds = {"SCAN…": of_scans, '--review': of_review, '--audit': of_audit}
    for kind, options in kinds.items():
        given = [
            name for name, value in options.items() if value is not None and value is not False
        ]
        if given and kind != doing[0]:
            raise UsageError(
                f"{given[0]} beside {doing[0]}",
                where=given[0],
                expected=f"{given[0]} beside {kind}",
            )


def _check_name(who: str) -> None:
    from halfpoint.errors import UsageError

    if not who.strip():
        raise UsageError("nothing", where='--who', expected="the name of who reads or decides")


def _counted(option: str, said: int | None, most: int = MOST_WORKERS) -> int | None:
    from halfpoint.errors import UsageError

    if said is not None and not 1 <= said <= most:
        raise UsageError(f"{said}", where=option, expected=f"1 to {most:,}")
    return said


def _review(tasting: Tasting, as_list: bool, show: str | None, who: str) -> None:
    from halfpoint.cli._review import list_doubtful, review_doubtful
    from halfpoint.errors import UsageError

    if show not in (None, 'terminal', 'file', 'both'):
        raise UsageError(f"'{show}'", where='--show', expected="terminal, file or both")
    if as_list:
        list_doubtful(tasting, new_console())
    else:
        review_doubtful(tasting, new_console(), show=show, who=who)


def _audit(tasting: Tasting, pages: int, seed: int | None, into: Path | None, who: str) -> None:
    from halfpoint.cli._audit import AuditOptions, audit_pages

    folder = into or tasting.source.parent / 'second-look'
    number = _counted('--audit', pages, MOST_AUDITED)
    audit_pages(tasting, AuditOptions(number or 1, seed, folder, who), new_console())
