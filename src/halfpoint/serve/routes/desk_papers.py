"""The papers of the plan and the score sheets, as PDFs for the organiser."""

from __future__ import annotations

import asyncio
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Query, Response

from halfpoint.publish.handouts import KINDS, NAMING_KINDS
from halfpoint.publish.handouts.joined import joined_paper
from halfpoint.publish.handouts.kinds import SHOPPING_LIST
from halfpoint.publish.handouts.score_sheets import sheets_pdf
from halfpoint.publish.handouts.single import site_paper
from halfpoint.serve.desk.files import as_file
from halfpoint.serve.guard.roles import AsOrganiser, AtTasting
from halfpoint.serve.problems import Refused
from halfpoint.serve.routes.desk_plan import plan_of
from halfpoint.serve.wire.marks import Shape

router = APIRouter(prefix='/api/desk', tags=['desk: papers'])

PDF = 'application/pdf'
SENT: dict[int | str, dict[str, Any]] = {200: {'content': {PDF: {}}}}
Size = Literal['a4', 'us-letter']
Site = Annotated[str, Query(max_length=200, description="Key of a site; empty for all.")]


class PaperKind(Shape):
    """A kind of paper."""

    kind: str
    names_wines: bool
    """Whether it says which wines are poured: to be kept from tasters."""
    by_site: bool
    """Whether there is one for each site."""


@router.get('/papers')
async def kinds(_: AsOrganiser) -> list[PaperKind]:
    """The kinds of paper there are."""
    return [
        PaperKind(kind=kind, names_wines=kind in NAMING_KINDS, by_site=kind != SHOPPING_LIST)
        for kind in KINDS
    ]


@router.get('/papers/{kind}.pdf', response_class=Response, responses=SENT)
async def paper_of(
    kind: str, _: AsOrganiser, here: AtTasting, site: Site = '', paper: Size = 'a4'
) -> Response:
    """One kind of paper, of a site or of all."""
    if kind not in KINDS:
        raise Refused(
            404, 'no-such-paper', f"no paper '{kind[:40]}'", where='kind',
            expected=f"one of {', '.join(KINDS)}", remedy="choose one of the list",
        )  # fmt: skip
    plan, tasting = await plan_of(here), here.tasting
    if not site or kind == SHOPPING_LIST:
        pdf = await asyncio.to_thread(joined_paper, tasting, plan, kind, paper=paper)
        return as_file(pdf, PDF, f'{kind}.pdf')
    _check_site(site, {pour.site for pour in plan.pours})
    pdf = await asyncio.to_thread(site_paper, tasting, plan, site, kind, paper=paper)
    return as_file(pdf, PDF, f'{site}-{kind}.pdf')


@router.get('/sheets.pdf', response_class=Response, responses=SENT)
async def score_sheets(
    _: AsOrganiser,
    here: AtTasting,
    site: Site = '',
    paper: Size = 'a4',
    wines_a_page: Annotated[int | None, Query(ge=3, le=5)] = None,
    blanks: Annotated[int, Query(ge=0, le=500)] = 0,
) -> Response:
    """Score sheets to mark on, of a site or of all, with spares."""
    plan = await plan_of(here)
    if site:
        _check_site(site, {pour.site for pour in plan.pours})
    pdf = await asyncio.to_thread(
        sheets_pdf,
        here.tasting,
        plan,
        site=site or None,
        paper=paper,
        wines_a_page=wines_a_page,
        blanks=blanks,
    )
    return as_file(pdf, PDF, f'{site or "all"}-score-sheets.pdf')


def _check_site(site: str, planned: set[str]) -> None:
    if site not in planned:
        raise Refused(
            404, 'no-such-site', f"no site '{site[:60]}' in the plan", where='site',
            expected=f"one of {', '.join(sorted(planned)[:8])}", remedy="choose one of the list",
        )  # fmt: skip
