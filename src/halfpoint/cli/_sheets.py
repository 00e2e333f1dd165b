"""Score sheets of the plan, into a folder for each site."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from halfpoint.cli._parts import check_paper_parts
from halfpoint.cli._record import counted

if TYPE_CHECKING:
    from halfpoint.collect.paper.print.typeset import Press
    from halfpoint.plan.model import Plan
    from halfpoint.publish.handouts.score_sheets import SheetFile
    from halfpoint.tasting.model import Tasting

Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class SheetOptions:
    """What was asked of score sheets. Without `wines_a_page`, as many as fit, at most four."""

    paper: Literal['a4', 'us-letter']
    site: str | None
    wines_a_page: int | None
    blanks: int
    layout_file: Path | None
    fonts: Path | None = None


def print_sheets(
    tasting: Tasting, plan: Plan, into: Path, options: SheetOptions, progress: Progress
) -> tuple[str, ...]:
    """Lay out, set and write score sheets and spares; give lines that say what was written.

    Raises:
        UsageError: the parts for paper are not installed, or an option does not fit.
        SheetError: the score sheet does not fit on paper that way.
        InputError: the plan does not go with the tasting file, or there are names with letters
            that no typeface has; all are told.
        OutputError: something could not be written; no sheet is then.
    """
    check_paper_parts('--sheets', ('zxingcpp', 'pypdfium2'))
    from halfpoint.collect.paper.print import lay_out, layout_json, most_wines_a_page
    from halfpoint.collect.paper.print.typeset import press
    from halfpoint.publish.handouts.score_sheets import sheet_files, sheet_typefaces
    from halfpoint.writing import write_text_safely

    wines = options.wines_a_page
    if wines is None:
        wines = most_wines_a_page(tasting.sheet)
    layout = lay_out(tasting.sheet, wines)
    site = options.site
    files = list(sheet_files(tasting, plan, site=site, wines_a_page=wines, blanks=options.blanks))
    with sheet_typefaces(tasting, plan, site=site, fonts=options.fonts) as typefaces:
        if options.layout_file is not None:
            write_text_safely(options.layout_file, layout_json(layout))
        with press(tasting, layout, options.paper, typefaces) as ours:
            _write(into, files, ours, progress)
    return tuple(_told(files, into, wines, options))


def _write(into: Path, files: Sequence[SheetFile], ours: Press, progress: Progress) -> None:
    from halfpoint.publish.handouts.shelf import filling

    every = sum(len(each.pages) for each in files)
    done = 0
    with filling(into) as shelf:
        for each in files:
            shelf.put(each.file, ours.pdf(each.pages, _further(progress, done, every)))
            done += len(each.pages)


def _further(progress: Progress, before: int, every: int) -> Progress:
    """Progress of one file among all pages."""
    return lambda done, _own: progress(before + done, every)


def _told(
    files: Sequence[SheetFile], into: Path, wines: int, options: SheetOptions
) -> Iterator[str]:
    from halfpoint.publish.handouts.score_sheets import SPARES

    spares = sum(len(each.pages) for each in files if each.file.stem == SPARES)
    own = sum(len(each.pages) for each in files) - spares
    more = f" and {counted(spares, 'spare', 'spares')}" if spares else ""
    yield f"{counted(own, 'score sheet', 'score sheets')}{more} in {into}"
    yield f"{wines} wines a page; print at 100 %, without fitting to the page."
    if options.layout_file is not None:
        yield f"Layout: {options.layout_file}"
