"""Score sheets of the plan, into a folder for each site."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path, PurePath
from typing import TYPE_CHECKING, Literal

from halfpoint.cli._parts import check_paper_parts
from halfpoint.cli._record import counted

if TYPE_CHECKING:
    from contextlib import AbstractContextManager

    from halfpoint.collect.paper.print import Page
    from halfpoint.collect.paper.print.typeset import Press
    from halfpoint.plan.model import Plan
    from halfpoint.tasting.model import Tasting
    from halfpoint.typeface.choosing import Typefaces

Progress = Callable[[int, int], None]
SHEETS, SPARES = 'score-sheets', 'spare-sheets'


@dataclass(frozen=True, slots=True)
class SheetOptions:
    """What was asked of score sheets. Without `wines_a_page`, as many as fit, at most four."""

    paper: Literal['a4', 'us-letter']
    site: str | None
    wines_a_page: int | None
    blanks: int
    layout_file: Path | None
    fonts: Path | None = None


@dataclass(frozen=True, slots=True)
class _File:
    file: PurePath
    pages: Sequence[Page]


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
    from halfpoint.collect.paper.print import form_of, lay_out, layout_json, most_wines_a_page
    from halfpoint.collect.paper.print.typeset import press
    from halfpoint.writing import write_text_safely

    wines = options.wines_a_page
    if wines is None:
        wines = most_wines_a_page(tasting.sheet)
    layout = lay_out(tasting.sheet, wines)
    files = list(_files(tasting, plan, options, wines, form_of(layout)))
    with _typefaces(tasting, plan, options) as typefaces:
        if options.layout_file is not None:
            write_text_safely(options.layout_file, layout_json(layout))
        with press(tasting, layout, options.paper, typefaces) as ours:
            _write(into, files, ours, progress)
    return tuple(_told(files, into, wines, options))


def _files(
    tasting: Tasting, plan: Plan, options: SheetOptions, wines: int, form: str
) -> Iterator[_File]:
    from halfpoint.collect.paper.print import numbered_sites, seat_pages, spare_pages
    from halfpoint.publish.handouts import ORGANISER
    from halfpoint.publish.handouts.names import folder_names

    sites = numbered_sites(tasting, plan)
    folders = folder_names(sites, taken=(ORGANISER,))
    for key in sites:
        if options.site in (None, key):
            seats = [*seat_pages(tasting, plan, key, wines_a_page=wines, form=form)]
            yield _File(PurePath(folders[key], f'{SHEETS}.pdf'), seats)
            spares = [
                *spare_pages(tasting, plan, key, options.blanks, wines_a_page=wines, form=form)
            ]
            if spares:
                yield _File(PurePath(folders[key], f'{SPARES}.pdf'), spares)


def _typefaces(
    tasting: Tasting, plan: Plan, options: SheetOptions
) -> AbstractContextManager[Typefaces]:
    """Typefaces for all that stands on these sheets."""
    from halfpoint.tasting.in_print import names_of_sheet, names_of_tasting, typefaces_for_names

    pours = [pour for pour in plan.pours if options.site in (None, pour.site)]
    seated = {pour.taster for pour in pours if pour.taster}
    names = names_of_tasting(tasting, {pour.site for pour in pours}, seated)
    labels = names_of_sheet(tasting.sheet)
    return typefaces_for_names([*names, *labels], tasting, options.fonts)


def _write(into: Path, files: Sequence[_File], ours: Press, progress: Progress) -> None:
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


def _told(files: Sequence[_File], into: Path, wines: int, options: SheetOptions) -> Iterator[str]:
    spares = sum(len(each.pages) for each in files if each.file.stem == SPARES)
    own = sum(len(each.pages) for each in files) - spares
    more = f" and {counted(spares, 'spare', 'spares')}" if spares else ""
    yield f"{counted(own, 'score sheet', 'score sheets')}{more} in {into}"
    yield f"{wines} wines a page; print at 100 %, without fitting to the page."
    if options.layout_file is not None:
        yield f"Layout: {options.layout_file}"
