"""`halfpoint years`: tastings of several years joined, members known without their names."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def command(
    tastings: Annotated[
        list[Path] | None,
        typer.Argument(
            metavar="TASTING.toml|RESULT.json…",
            help="The tastings to join: tasting files, or results as `results --json` wrote them.",
        ),
    ] = None,
    society: Annotated[
        Path,
        typer.Option("--society", metavar="FILE", help="The society's key, kept by the organiser."),
    ] = Path('society.key'),
    begin: Annotated[
        bool, typer.Option("--begin", help="Make the society's key, once and for all.")
    ] = False,
    json_to: Annotated[
        Path | None,
        typer.Option("--json", metavar="FILE", help="Write the record over years there."),
    ] = None,
    member: Annotated[
        str | None,
        typer.Option("--member", metavar="NAME", help="Say the pseudonym of this member."),
    ] = None,
    seed: Annotated[int, typer.Option("--seed", min=0, help="Seed of the drawn figures.")] = 20,
) -> None:
    """Join tastings of several years: how each member marked, under pseudonyms."""
    from halfpoint.cli._years import begin_society, join_tastings, say_pseudonym

    if begin:
        begin_society(society, tastings or ())
        return
    if member is not None:
        say_pseudonym(society, member)
        return
    join_tastings(tastings or (), society, json_to, seed)
