"""An invented tasting whose score sheets are filled in and read: file, plan, pages."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import chain
from pathlib import Path

from halfpoint.cli._planned import recorded_plan
from halfpoint.cli._record import open_record
from halfpoint.collect.paper.print import Layout, form_of, lay_out, numbered_sites, seat_pages
from halfpoint.collect.paper.print.pages import Page
from halfpoint.collect.paper.print.typeset import press
from halfpoint.demo.paper import Raster
from halfpoint.demo.paper.printed import WORKING_SCALE, pixels
from halfpoint.ledger.replay import State, replay
from halfpoint.plan.model import Plan
from halfpoint.tasting.load import load_tasting
from halfpoint.tasting.model import Tasting

FILE = 'bench.toml'


@dataclass(frozen=True, slots=True)
class Size:
    """How large a tasting is, on which sheet, and how many wines stand on a page."""

    sites: int
    seats: int
    wines: int
    sheet: str = 'twenty-point'
    wines_a_page: int = 4


@dataclass(frozen=True)
class Room:
    """A tasting with what its sheets are printed by. Pickles."""

    tasting: Tasting
    plan: Plan
    layout: Layout

    def pages(self) -> Iterator[Page]:
        """The pages of all seats, site by site."""
        form, wines = form_of(self.layout), self.layout.wines_a_page
        sites = numbered_sites(self.tasting, self.plan)
        return chain.from_iterable(
            seat_pages(self.tasting, self.plan, site, wines_a_page=wines, form=form)
            for site in sites
        )

    def printed(self, pages: Sequence[Page]) -> Iterator[Raster]:
        """Pages as they come out of the printer, one at a time."""
        with press(self.tasting, self.layout, 'a4') as ours:
            pdf = ours.pdf(pages)
        origin = self.layout.origins['a4']
        for image, page in zip(pixels(pdf, WORKING_SCALE), pages, strict=True):
            yield Raster(image, WORKING_SCALE, origin, page)


def tasting_file(folder: Path, size: Size) -> Path:
    """An invented tasting, written into a folder."""
    head = '[tasting]\nkey = "bench"\ntitle = "Bench (invented)"\ninvented = true\n'
    head += f'sheet = "{size.sheet}"\n'
    head += f'[plan]\nseats = {size.seats}\ncapacity = {size.wines}\nsecond_pours = 0\n'
    sites = ''.join(f'[[site]]\nkey = "s{n}"\nname = "Room {n}"\n' for n in range(size.sites))
    wines = ''.join(f'[[wine]]\nkey = "w{n}"\nname = "Wine {n}"\n' for n in range(size.wines))
    file = folder / FILE
    file.write_text(head + sites + wines, encoding='utf-8')
    return file


def planned_room(folder: Path, wines_a_page: int) -> Room:
    """The tasting in a folder, by the plan in its record."""
    tasting = load_tasting(folder / FILE)
    plan = recorded_plan(state_of(tasting))
    if plan is None:
        raise ValueError('no plan is in the record')
    return Room(tasting, plan, lay_out(tasting.sheet, wines_a_page))


def state_of(tasting: Tasting) -> State:
    """How its record stands."""
    with open_record(tasting) as ledger:
        return replay(ledger.records())
