"""`halfpoint guide`: a tasting guide on one page and on four."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from halfpoint.tasting.model import Tasting

DEFAULT_SHEET = 'twenty-point'


def command(
    into: Annotated[
        Path, typer.Option(metavar="DIR", help="Folder for the guide; made when it is not there.")
    ],
    source: Annotated[
        str,
        typer.Argument(
            metavar="SHEET|TASTING.toml", help="A score sheet by name or file, or a tasting file."
        ),
    ] = DEFAULT_SHEET,
    paper: Annotated[str, typer.Option(metavar="a4|letter", help="Paper to print on.")] = "a4",
    fonts: Annotated[
        Path | None,
        typer.Option(metavar="DIR", help="Fonts for letters that our typeface lacks."),
    ] = None,
) -> None:
    """Set a guide to tasting with this score sheet, on one page and on four."""
    from halfpoint.cli._paper_size import paper_size
    from halfpoint.sheet.load import load_sheet
    from halfpoint.teach.guide.files import write_guides

    size = paper_size(paper)
    tasting = _tasting(source)
    sheet = load_sheet(source) if tasting is None else tasting.sheet
    typer.echo(f"A guide to tasting with the sheet '{sheet.label}':")
    for file in write_guides(sheet, into, paper=size, tasting=tasting, fonts=fonts):
        typer.echo(f"  {file}")


def _tasting(source: str) -> Tasting | None:
    """The tasting where a tasting file is named; a sheet file and a name of a sheet are none."""
    from halfpoint.errors import SheetError
    from halfpoint.sheet.load import is_path
    from halfpoint.sheet.toml_form import read_toml
    from halfpoint.tasting.load import load_tasting

    if not is_path(source):
        return None
    raw = read_toml(Path(source), SheetError)
    return load_tasting(Path(source)) if 'tasting' in raw else None
