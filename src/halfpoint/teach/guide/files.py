"""The guide as files in a folder."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path, PurePath
from typing import Any

from halfpoint.publish.handouts.shelf import filling
from halfpoint.sheet.form import Sheet
from halfpoint.tasting.model import Tasting
from halfpoint.teach.guide import make_guide
from halfpoint.teach.guide.pages import Length, Paper, guide_pdf
from halfpoint.typeface.choosing import typefaces_for
from halfpoint.typeface.letters import as_set

FILES: dict[str, Length] = {'guide-one-page.pdf': 'one', 'guide-four-pages.pdf': 'four'}


def write_guides(
    sheet: Sheet,
    into: Path,
    *,
    paper: Paper = 'a4',
    tasting: Tasting | None = None,
    fonts: Path | None = None,
) -> tuple[Path, ...]:
    """Write both guides into a folder, made when it is not there, and give their paths.

    Args:
        sheet: what is marked on.
        into: the folder.
        paper: the paper to print on.
        tasting: gives the guide its title, and says whether it is made up.
        fonts: a folder of fonts, for letters that the shipped typeface lacks.

    Raises:
        InputError: the sheet has letters that no typeface has.
        DiskFull: no space was left.
        OutputError: the folder could not be written for another reason.
    """
    guide = make_guide(sheet)
    title = tasting.title if tasting else ''
    texts = [as_set(text) for text in (title, *_texts(asdict(guide)))]
    invented = tasting is not None and tasting.invented
    with typefaces_for(texts, fonts or (tasting.fonts if tasting else None)) as typefaces:
        made = {
            name: guide_pdf(
                guide, length, paper=paper, title=title, invented=invented, typefaces=typefaces
            )
            for name, length in FILES.items()
        }
    with filling(into) as shelf:
        for name, pdf in made.items():
            shelf.put(PurePath(name), pdf)
    return tuple(into / name for name in made)


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for inner in value.values():
            yield from _texts(inner)
    elif isinstance(value, list | tuple):
        for inner in value:
            yield from _texts(inner)
