"""What the routes of tasters and hosts work on: the plan in force and what is looked up by it."""

from __future__ import annotations

import time
from dataclasses import dataclass
from typing import Annotated

from fastapi import Depends, FastAPI, Request

from halfpoint.collect.phone.filled import Desk
from halfpoint.collect.phone.filled import Seat as SeatHeld
from halfpoint.collect.phone.when import too_early_or_late
from halfpoint.ledger.replay import State
from halfpoint.plan.model import Pour
from halfpoint.serve.guard.roles import Here
from halfpoint.serve.plan_now import PlanNow
from halfpoint.serve.problems import Refused
from halfpoint.serve.seating import Seat, Seating
from halfpoint.serve.served import Served
from halfpoint.serve.wire.sheet import NameShown, TastingShown
from halfpoint.serve.writer import Writer
from halfpoint.tasting.model import Tasting

# Seconds after which it is looked whether the tasting file was edited.
LOOK_AGAIN = 1.0


@dataclass(frozen=True)
class Room:
    """The tasting with its plan and its seats, and the pen for its record."""

    served: Served
    tasting: Tasting
    seating: Seating

    @property
    def plan(self) -> PlanNow:
        """The plan in force."""
        return self.seating.plan

    @property
    def writer(self) -> Writer:
        """The pen."""
        return self.served.writer

    def desk(self, state: State) -> Desk:
        """What sheets are held against."""
        return Desk(
            self.tasting,
            self.plan.poured,
            too_early_or_late(self.tasting, self.served.phase(state)),
        )

    def desk_for_late(self, state: State) -> Desk:
        """What sheets of a bundle are held against: it may come home late, but not too late."""
        closed = None if state.revealed is None else too_early_or_late(self.tasting, 'revealed')
        return Desk(self.tasting, self.plan.poured, closed)

    def seat(self, site: str, number: int) -> Seat:
        """The seat with this number.

        Raises:
            Refused: 404, there is none.
        """
        return seat_numbered(self.seating, site, number)

    def held_to(self, seat: Seat) -> SeatHeld:
        """A seat as its sheets are held against it."""
        return SeatHeld(seat.site, seat.taster, self.plan.taster(seat.site, seat.like))

    def pours_at(self, seat: Seat) -> tuple[Pour, ...]:
        """What is poured at a seat, in serving order."""
        return self.plan.by_seat.get((seat.site, seat.like), ())

    def site_shown(self, site: str) -> NameShown:
        """Key and name of a site."""
        return NameShown(key=site, name=self.seating.site_name(site))

    def tasting_shown(self, state: State) -> TastingShown:
        """The tasting, as everybody may know it."""
        tasting = self.tasting
        return TastingShown(
            key=tasting.key,
            title=tasting.title,
            invented=tasting.invented,
            opens=tasting.opens.isoformat() if tasting.opens else None,
            closes=tasting.closes.isoformat() if tasting.closes else None,
            state=self.served.phase(state),
        )


def seat_numbered(seating: Seating, site: str, number: int) -> Seat:
    """The seat with this number at a site.

    Raises:
        Refused: 404, there is none.
    """
    found = seating.seats.get((site, number))
    if found is None:
        raise Refused(
            404,
            'no-such-seat',
            f"no seat {number} at this site",
            expected="a seat of the plan, or one that the host has added",
            remedy="look at the number on the seat's label",
        )
    return found


async def room(request: Request, here: Here) -> Room:
    """The room of this request, kept until the plan or a seat changes, or for a second.

    Raises:
        UsageError: nothing is planned yet.
        FileNotReadable: there is no tasting yet.
    """
    kept: tuple[float, Room] | None = getattr(request.app.state, 'room', None)
    if kept is not None and time.monotonic() < kept[0] and _is_planned(kept[1]):
        return kept[1]
    served = await here.served()
    made = Room(served, served.tasting, await here.seating())
    request.app.state.room = time.monotonic() + LOOK_AGAIN, made
    return made


def _is_planned(kept: Room) -> bool:
    return kept.plan.number == kept.writer.planned


def forget_room(app: FastAPI) -> None:
    """To be called when a seat was added."""
    app.state.room = None


InRoom = Annotated[Room, Depends(room)]
