"""Who is poured what: planning, what the plan takes, and the wines behind the codes."""

from __future__ import annotations

import asyncio
from typing import Annotated

from fastapi import APIRouter, Request
from pydantic import Field

from halfpoint.plan.model import BalanceAt, Money, Plan, SeatAlcohol, SiteBottles
from halfpoint.publish.handouts.care import CAUTIONS
from halfpoint.serve.desk.bodies import Signed
from halfpoint.serve.desk.planning import basis_of, behind_codes, planned, pours_by_site, record
from halfpoint.serve.guard.roles import AsOrganiser, AtTasting
from halfpoint.serve.problems import Refused
from halfpoint.serve.room import forget_room
from halfpoint.serve.served import Served
from halfpoint.serve.wire.marks import Shape
from halfpoint.tasting.model import Tasting

router = APIRouter(prefix='/api/desk', tags=['desk: the plan'])


class PlanWanted(Signed):
    """A plan to be made."""

    seed: Annotated[int, Field(ge=0, le=2**31)] = 20
    """The same number draws the same plan."""
    new: bool = False
    """Keep nothing of the plan in force; refused when sheets have come in by it."""


class SitePlanned(Shape):
    """What a site is poured, and how even it is."""

    key: str
    name: str
    seats: int
    pours: int
    bottles: int
    position: BalanceAt | None
    """How often each wine stands at each place: least and most."""
    predecessor: BalanceAt | None
    """How often each wine follows each other one: least and most."""


class PlanShown(Shape):
    """The plan in force, summed up."""

    number: int | None
    """Its record; null while nothing is planned."""
    new: bool
    """Whether this request recorded it."""
    seed: int
    pours: int
    tasters: int
    position: BalanceAt
    predecessor: BalanceAt
    efficiency: float
    """Of the allocation of wines to sites: 1 when every site pours all."""
    connected: bool
    sites: list[SitePlanned]
    bottles: list[SiteBottles]
    money: Money
    alcohol: list[SeatAlcohol]
    """For each seat, if all were swallowed."""
    losses: list[str]
    notes: list[str]
    cautions: list[str]


class WineBehind(Shape):
    """A code, and the wine behind it. For the organiser alone, until the reveal."""

    site: str
    bag: str
    code: str
    wine: str
    name: str
    second_pour: bool


_one_at_a_time = asyncio.Lock()


@router.post('/plan')
async def make(
    wanted: PlanWanted, request: Request, organiser: AsOrganiser, here: AtTasting
) -> PlanShown:
    """Make the plan, or bring it up to date; codes, bags and orders already planned stay."""
    if _one_at_a_time.locked():
        raise Refused(
            409, 'planning-now', "a plan is being made already",
            remedy="wait until it is there; it takes a moment",
        )  # fmt: skip
    tasting, who = here.tasting, wanted.name(organiser)
    async with _one_at_a_time:
        basis = await here.writer.read(lambda state: basis_of(state, afresh=wanted.new))
        plan, is_new = await asyncio.to_thread(
            planned, tasting, basis, wanted.seed, afresh=wanted.new
        )
        if is_new:
            await here.writer.do(
                lambda ledger, _: record(ledger, plan, basis, afresh=wanted.new, who=who)
            )
            forget_room(request.app)
    return _shown(tasting, plan, here.writer.planned, new=is_new)


@router.get('/plan')
async def get_plan(_: AsOrganiser, here: AtTasting) -> PlanShown | None:
    """The plan in force; null while nothing is planned."""
    now = await here.writer.read(lambda state: None if state.plan is None else here.plan(state))
    return None if now is None else _shown(here.tasting, now.plan, now.number, new=False)


@router.get('/wines')
async def wines(_: AsOrganiser, here: AtTasting) -> list[WineBehind]:
    """Which wine is behind each code at each site."""
    plan = await plan_of(here)
    names = {wine.key: wine.name for wine in here.tasting.wines}
    return [
        WineBehind(
            site=site, bag=bag, code=code, wine=wine, name=names.get(wine, wine), second_pour=second
        )
        for site, bag, code, wine, second in behind_codes(plan)
    ]


async def plan_of(here: Served) -> Plan:
    """The plan in force.

    Raises:
        UsageError: nothing is planned yet.
    """
    return (await here.writer.read(here.plan)).plan


def _shown(tasting: Tasting, plan: Plan, number: int | None, *, new: bool) -> PlanShown:
    names = {site.key: site.name for site in tasting.sites}
    balance = {each.site: each for each in plan.balance.sites}
    bottles: dict[str, int] = {}
    for each in plan.bottles:
        bottles[each.site] = bottles.get(each.site, 0) + each.bottles
    sites = [
        SitePlanned(
            key=key,
            name=names.get(key, tasting.title),
            seats=seats,
            pours=pours,
            bottles=bottles.get(key, 0),
            position=balance[key].position if key in balance else None,
            predecessor=balance[key].predecessor if key in balance else None,
        )
        for key, (seats, pours) in pours_by_site(plan).items()
    ]
    return PlanShown(
        number=number,
        new=new,
        seed=plan.seed,
        pours=len(plan.pours),
        tasters=sum(site.seats for site in sites),
        position=plan.balance.position,
        predecessor=plan.balance.predecessor,
        efficiency=plan.balance.efficiency,
        connected=plan.balance.connected,
        sites=sites,
        bottles=list(plan.bottles),
        money=plan.money,
        alcohol=list(plan.alcohol),
        losses=list(plan.losses),
        notes=list(plan.notes),
        cautions=list(CAUTIONS),
    )
