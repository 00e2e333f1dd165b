"""Invented tastings to print, and the text of what was printed."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from typing import Any

import pypdfium2

from halfpoint.plan.make import make_plan
from halfpoint.plan.model import Plan
from halfpoint.publish.handouts.evening import Evening, evenings_of
from halfpoint.publish.handouts.kinds import SITE_KINDS, Kind, parts_of
from halfpoint.publish.handouts.typeset import typeset
from halfpoint.sheet.load import load_sheet
from halfpoint.tasting.model import Site, Taster, Tasting, Wine
from halfpoint.tasting.planning import Planning

STYLES = ('white', 'red', 'sparkling', 'sweet')
KIND = {kind.name: kind for kind in SITE_KINDS}
BLIND = tuple(kind for kind in SITE_KINDS if not kind.names_wines)


def wine(place: int, **more: Any) -> Wine:
    """A wine whose words are found nowhere else."""
    return Wine(
        key=f'zqk{place}', name=f"Zqname Hill {place}", grape=f"Zqgrape {place}",
        price=4321.25 + place, vintage=1987, alcohol=12.5, **more,
    )  # fmt: skip


def tasting(
    wines: int = 6,
    seats: int = 5,
    sites: Sequence[Site] | None = None,
    tasters: Sequence[Taster] = (),
    **settings: Any,
) -> Tasting:
    """A tasting of two sites, unless told otherwise."""
    if sites is None:
        sites = [Site(key='north', name="North room", seats=seats), Site(key='south', name="South")]
    return Tasting(
        key='autumn', title="Autumn round", invented=True, currency='EUR',
        sheet=load_sheet('twenty-point'),
        wines=tuple(wine(place) for place in range(wines)), sites=tuple(sites),
        tasters=tuple(tasters), plan=Planning(**{'seats': seats} | settings),
        ledger=Path('autumn.ledger'), source=Path('autumn.toml'),
    )  # fmt: skip


def planned(of: Tasting) -> tuple[Plan, tuple[Evening, ...]]:
    """Its plan, and each site's part of it."""
    plan = make_plan(of)
    return plan, evenings_of(of, plan)


def printed(kind: Kind, evening: Evening, paper: str = 'a4', **more: Any) -> bytes:
    """A paper of one site, as it is printed."""
    frame = {'paper': paper, 'title': evening.tasting.title, 'invented': True}
    return typeset(kind.template, frame | {'parts': parts_of([evening], kind)} | more)


def pages(pdf: bytes) -> Iterator[str]:
    """The text of each page, spaces made plain and line breaks dropped."""
    with closing(pypdfium2.PdfDocument(pdf)) as document:
        for page in document:
            text = page.get_textpage().get_text_bounded()
            yield ' '.join(re.sub(r'[\u200b\u00ad\ufffe]', '', text).split())


def whole(pdf: bytes) -> str:
    """The text of all pages."""
    return ' '.join(pages(pdf))


def renamed(of: Tasting, plan: Plan, wines: Sequence[Wine]) -> tuple[Tasting, Plan]:
    """The same tasting and plan with other wines in the places of the old."""
    new = dict(zip((old.key for old in of.wines), (each.key for each in wines), strict=True))
    return (
        of.model_copy(update={'wines': tuple(wines)}),
        replace(
            plan,
            pours=tuple(replace(pour, wine=new[pour.wine]) for pour in plan.pours),
            bottles=tuple(replace(line, wine=new[line.wine]) for line in plan.bottles),
        ),
    )
