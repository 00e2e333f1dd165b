"""Invented tastings to plan for, and a strategy that draws them."""

from __future__ import annotations

from collections import defaultdict
from pathlib import Path
from typing import Any

from hypothesis import strategies as st

from halfpoint.plan.model import Plan, Pour
from halfpoint.sheet.load import load_sheet
from halfpoint.tasting.model import Site, Tasting, Wine
from halfpoint.tasting.planning import TRADE_ORDER, Planning

SHEET = load_sheet('liking')


def tasting(
    wines: int | list[dict[str, Any]] = 6, sites: int | list[dict[str, Any]] = 4, **plan: Any
) -> Tasting:
    """An invented tasting with so many wines and sites, or with these facts about them."""
    of_wines = [{} for _ in range(wines)] if isinstance(wines, int) else wines
    of_sites = [{} for _ in range(sites)] if isinstance(sites, int) else sites
    return Tasting(
        key='invented',
        title="Invented tasting",
        invented=True,
        sheet=SHEET,
        wines=tuple(
            Wine(**{'key': f'w{n:02}', 'name': f"Wine {n}", **facts})
            for n, facts in enumerate(of_wines)
        ),
        sites=tuple(
            Site(**{'key': f's{n:02}', 'name': f"Site {n}", **facts})
            for n, facts in enumerate(of_sites)
        ),
        plan=Planning(**plan),
        ledger=Path('tasting.ledger'),
        source=Path('tasting.toml'),
    )


def seats_of(plan: Plan) -> dict[tuple[str, int], list[Pour]]:
    """The pours of each seat, in serving order."""
    seats: dict[tuple[str, int], list[Pour]] = defaultdict(list)
    for pour in plan.pours:
        seats[pour.site, pour.seat].append(pour)
    return {seat: sorted(pours, key=lambda pour: pour.position) for seat, pours in seats.items()}


def names_of(plan: Plan) -> dict[tuple[str, str, bool], tuple[str, str]]:
    """Code and bag of each wine at each site, first and second pours apart."""
    return {(p.site, p.wine, p.second_pour): (p.code, p.bag) for p in plan.pours}


@st.composite
def tastings(draw: st.DrawFn) -> Tasting:
    """Valid tasting files: complete or not, with styles, second pours, uneven sites."""
    count = draw(st.integers(2, 9))
    styles = draw(st.sampled_from([(None,), ('white',), ('white', 'red'), TRADE_ORDER[:3]]))
    wines = [{'style': draw(st.sampled_from(styles))} for _ in range(count)]
    site_count = draw(st.integers(1, 6))
    enough = max(3, -(-(count - 1) // site_count) + 2)
    seconds = draw(st.integers(0, 2))
    capacity = draw(st.integers(enough, enough + 6)) + seconds
    sites = [{'seats': draw(st.integers(1, 12))} for _ in range(site_count)]
    return tasting(
        wines,
        sites,
        capacity=min(capacity, 60),
        second_pours=min(seconds, count),
        orders=draw(st.sampled_from(['taster', 'taster', 'table', 'site'])),
        table_seats=draw(st.integers(1, 8)),
        flight=draw(st.integers(2, 8)),
    )
