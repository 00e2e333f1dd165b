"""What a page must be by the plan: from its 24 digits to its seat, codes and form."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from functools import cached_property

from halfpoint.collect.paper.print.identity import PERSONAL, Identity, Stated, stated
from halfpoint.collect.paper.print.lay_out import lay_out
from halfpoint.collect.paper.print.layout import Layout
from halfpoint.collect.paper.print.layout_file import form_of
from halfpoint.collect.paper.print.measures import BY_WINES
from halfpoint.collect.paper.read.model import HeldPage
from halfpoint.errors import SheetError
from halfpoint.plan.model import Plan, Pour
from halfpoint.plan.rooms import ONLY_ROOM
from halfpoint.tasting.model import Tasting

REPRINT = "look whether the page is one of this tasting, and enter it by hand if it is"


@dataclass(frozen=True, slots=True)
class PlannedGlass:
    """What a block of a page is about: its code, '' on a spare, and its position."""

    code: str
    position: int | None


@dataclass(frozen=True, slots=True)
class PlannedPage:
    """A page that this plan prints."""

    payload: str
    layout: Layout
    site: str
    seat: int | None
    number: int
    sheet: int
    taster: str
    glasses: tuple[PlannedGlass, ...]

    @property
    def is_spare(self) -> bool:
        """Whether the taster writes on it who and what it is about."""
        return self.seat is None


class PlannedPages:
    """Every page that a plan prints, found by its 24 digits."""

    def __init__(self, tasting: Tasting, plan: Plan) -> None:
        self._tasting = tasting
        self._plan = plan
        self._layouts: dict[int, tuple[Layout, str] | None] = {}

    def layout(self, wines: int) -> tuple[Layout, str] | None:
        """The layout for so many wines a page, and its form; None where the sheet does not fit."""
        if wines not in self._layouts:
            self._layouts[wines] = self._laid_out(wines)
        return self._layouts[wines]

    def find(self, payload: str) -> PlannedPage | HeldPage:
        """The page with these digits, or why there is none in this plan.

        No site, seat or code is guessed: a page is found only when the plan would print exactly
        these digits.
        """
        said = stated(payload)
        if said is None:
            return _stranger(payload, "is no identity of a score sheet")
        own = Identity(PERSONAL, 4, self._tasting.key, '', 0, 0, 0, '').payload[2:7]
        if said.tasting != own:
            return _stranger(payload, "belongs to another tasting")
        made = self.layout(said.wines_a_page)
        site = self._sites.get(said.site_number)
        if made is None or site is None:
            return _stranger(payload, "names a site or form that this tasting has not")
        page = self._page(payload, said, site, *made)
        return page or _stranger(payload, "is of another plan, or was printed on another form")

    def _page(
        self, payload: str, said: Stated, site: str, layout: Layout, form: str
    ) -> PlannedPage | None:
        personal = said.kind == PERSONAL
        pours = self._pours(site, said) if personal else ()
        identity = Identity(
            said.kind, said.wines_a_page, self._tasting.key, site, said.site_number,
            said.number, said.page, form, tuple(pour.code for pour in pours),
        )  # fmt: skip
        if identity.payload != payload or (personal and not pours):
            return None
        glasses = tuple(PlannedGlass(pour.code, pour.position) for pour in pours)
        return PlannedPage(
            payload=payload,
            layout=layout,
            site=site,
            seat=said.number if personal else None,
            number=said.number,
            sheet=said.page,
            taster=self._taster(site, said.number, pours) if personal else '',
            glasses=glasses or (PlannedGlass('', None),) * said.wines_a_page,
        )

    def _pours(self, site: str, said: Stated) -> tuple[Pour, ...]:
        pours = self._by_seat.get((site, said.number), ())
        first = (said.page - 1) * said.wines_a_page
        return tuple(pours[max(first, 0) : first + said.wines_a_page])

    def _taster(self, site: str, seat: int, pours: tuple[Pour, ...]) -> str:
        return pours[0].taster or unlisted_taster(site, seat)

    @cached_property
    def _by_seat(self) -> dict[tuple[str, int], list[Pour]]:
        seats: dict[tuple[str, int], list[Pour]] = defaultdict(list)
        for pour in sorted(self._plan.pours, key=lambda pour: pour.position):
            seats[pour.site, pour.seat].append(pour)
        return seats

    @cached_property
    def _sites(self) -> dict[int, str]:
        keys = [site.key for site in self._tasting.sites] or [ONLY_ROOM]
        planned = {pour.site for pour in self._plan.pours}
        return {number: key for number, key in enumerate(keys, start=1) if key in planned}

    def _laid_out(self, wines: int) -> tuple[Layout, str] | None:
        if wines not in BY_WINES:
            return None
        try:
            layout = lay_out(self._tasting.sheet, wines)
        except SheetError:
            return None
        return layout, form_of(layout)


def unlisted_taster(site: str, seat: int) -> str:
    """What a taster is called whom the tasting file does not list.

    >>> unlisted_taster('north-room', 12)
    'north-room-seat-12'
    """
    return f'{site}-seat-{seat}'


def _stranger(payload: str, what: str) -> HeldPage:
    return HeldPage(
        'stranger', f"a page whose number {payload} {what}", "a page of this plan", REPRINT
    )
