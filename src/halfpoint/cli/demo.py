"""`halfpoint demo`: an invented tasting to try everything on."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def command(
    into: Annotated[Path, typer.Option(help="Folder to write to; made when it is not there.")],
    seed: Annotated[int, typer.Option(min=0, help="The same number invents the same tasting.")] = 1,
    again: Annotated[
        bool, typer.Option("--again", help="Write an invented tasting that is here anew.")
    ] = False,
) -> None:
    """Write an invented tasting to try halfpoint on: a league, its wines, tasters and sheets."""
    from halfpoint.demo.write import write_demo

    tasting_file, *sheets = write_demo(into, seed=seed, again=again)
    typer.echo(f"tasting  {tasting_file}")
    for path in sheets:
        typer.echo(f"sheets   {path}")
    typer.echo("No such league, wine or taster exists.")
    typer.echo(f"Next: halfpoint gather {tasting_file} {sheets[0].parent}/*")
