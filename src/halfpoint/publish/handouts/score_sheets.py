"""The score sheets of a plan: which pages there are for each site, and all of them as one PDF."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import Path, PurePath

from halfpoint.collect.paper.print import (
    Page,
    form_of,
    lay_out,
    most_wines_a_page,
    numbered_sites,
    seat_pages,
    spare_pages,
)
from halfpoint.errors import UsageError
from halfpoint.plan.model import Plan
from halfpoint.publish.handouts import ORGANISER, Paper
from halfpoint.publish.handouts.names import folder_names
from halfpoint.tasting.in_print import names_of_sheet, names_of_tasting, typefaces_for_names
from halfpoint.tasting.model import Tasting
from halfpoint.typeface.choosing import Typefaces

SHEETS, SPARES = 'score-sheets', 'spare-sheets'


@dataclass(frozen=True, slots=True)
class SheetFile:
    """The pages of one file, and where it belongs in a folder of papers."""

    file: PurePath
    pages: Sequence[Page]


def sheet_files(
    tasting: Tasting, plan: Plan, *, site: str | None, wines_a_page: int, blanks: int
) -> Iterator[SheetFile]:
    """The sheets of each seat, then the spares, site after site.

    Args:
        tasting: the tasting file.
        plan: its plan.
        site: key of the one site wanted; None for all.
        wines_a_page: glasses on a page.
        blanks: spares for each site.

    Raises:
        SheetError: the score sheet does not fit on paper that way.
        InputError: the plan does not go with the tasting file.
    """
    form = form_of(lay_out(tasting.sheet, wines_a_page))
    sites = numbered_sites(tasting, plan)
    folders = folder_names(sites, taken=(ORGANISER,))
    for key in sites:
        if site in (None, key):
            seats = [*seat_pages(tasting, plan, key, wines_a_page=wines_a_page, form=form)]
            yield SheetFile(PurePath(folders[key], f'{SHEETS}.pdf'), seats)
            spares = [
                *spare_pages(tasting, plan, key, blanks, wines_a_page=wines_a_page, form=form)
            ]
            if spares:
                yield SheetFile(PurePath(folders[key], f'{SPARES}.pdf'), spares)


def sheet_typefaces(
    tasting: Tasting, plan: Plan, *, site: str | None, fonts: Path | None
) -> AbstractContextManager[Typefaces]:
    """Typefaces for all that stands on these sheets.

    Raises:
        InputError: there are names with letters that no typeface has; all are told.
    """
    pours = [pour for pour in plan.pours if site in (None, pour.site)]
    seated = {pour.taster for pour in pours if pour.taster}
    names = names_of_tasting(tasting, {pour.site for pour in pours}, seated)
    return typefaces_for_names([*names, *names_of_sheet(tasting.sheet)], tasting, fonts)


def sheets_pdf(
    tasting: Tasting,
    plan: Plan,
    *,
    site: str | None = None,
    paper: Paper = 'a4',
    wines_a_page: int | None = None,
    blanks: int = 0,
) -> bytes:
    """The sheets of a site, or of all, as one PDF; arguments as for `sheet_files`.

    Raises:
        UsageError: no such site.
        SheetError, InputError: as `sheet_files` and `sheet_typefaces`.
    """
    from halfpoint.collect.paper.print.typeset import press  # noqa: PLC0415

    wines = wines_a_page or most_wines_a_page(tasting.sheet)
    files = sheet_files(tasting, plan, site=site, wines_a_page=wines, blanks=blanks)
    pages = [page for each in files for page in each.pages]
    if not pages:
        raise UsageError(f"no site '{site}' in the plan", where="site", expected="a planned site")
    layout = lay_out(tasting.sheet, wines)
    with (
        sheet_typefaces(tasting, plan, site=site, fonts=tasting.fonts) as typefaces,
        press(tasting, layout, paper, typefaces) as ours,
    ):
        return ours.pdf(pages)
