"""Which printed pages have not been seen yet."""

from __future__ import annotations

from tests.plan.sample import tasting

from halfpoint.collect.paper.read.missing import Missing, Seen, missing_pages
from halfpoint.plan.make import make_plan
from halfpoint.plan.model import Plan


def planned() -> Plan:
    """Two sites of three seats with six pours each: two pages a seat at four wines a page."""
    return make_plan(tasting(wines=6, sites=2, seats=3, second_pours=0))


def every(plan: Plan, wines: int) -> list[Seen]:
    """All pages of the plan in a print of so many wines a page."""
    seats = {(pour.site, pour.seat) for pour in plan.pours}
    count = max(pour.position for pour in plan.pours)
    pages = range(1, -(-count // wines) + 1)
    return [Seen(site, seat, page, wines) for site, seat in sorted(seats) for page in pages]


def test_all_pages_are_missing_at_first() -> None:
    """Before anything has come, every site is silent, and pages are counted as usual."""
    missing = missing_pages(planned(), [], usual=4)
    assert [(('s00', 6), True), (('s01', 6), True)] == [
        ((each.site, each.pages), each.is_silent) for each in missing
    ]
    assert (1, 2, 3) == missing[0].seats


def test_nothing_is_missing_when_all_have_come() -> None:
    """Whatever the wines on a page: five a page are two pages, three a page two as well."""
    plan = planned()
    for wines in (3, 4, 5):
        assert () == missing_pages(plan, every(plan, wines), usual=4)


def test_seats_and_single_sheets_are_told_apart() -> None:
    """A seat without any page, and a seat of which only one page has come."""
    plan = planned()
    gone = {('s00', 2, 1), ('s00', 2, 2), ('s00', 3, 2)}
    seen = [page for page in every(plan, 4) if page[:3] not in gone]
    assert (Missing('s00', 3, (2,), ((3, 2),), is_silent=False),) == missing_pages(
        plan, seen, usual=4
    )


def test_pages_are_counted_as_the_site_prints_them() -> None:
    """At a site that prints three wines a page, a seat not heard of has as many pages."""
    plan = make_plan(tasting(wines=9, sites=1, seats=2, second_pours=0))
    seen = [page for page in every(plan, 3) if page.seat == 1]
    assert [3] == [each.pages for each in missing_pages(plan, seen, usual=5)]


def test_a_seat_without_a_page_is_counted_in_its_own_print() -> None:
    """A seat whose pages come from another print than the site's is complete by its own."""
    plan = make_plan(tasting(wines=9, sites=1, seats=2, second_pours=0))
    seen = [p for p in every(plan, 3) if p.seat == 1] + [p for p in every(plan, 5) if p.seat == 2]
    assert () == missing_pages(plan, seen, usual=4)
