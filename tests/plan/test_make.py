"""Every plan from any valid file is one that can be poured and weighed."""

from __future__ import annotations

from collections import Counter, defaultdict, deque
from itertools import pairwise

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.plan.sample import seats_of, tasting, tastings

from halfpoint.errors import TastingFileError
from halfpoint.plan.codes import says_nothing
from halfpoint.plan.make import make_plan
from halfpoint.plan.model import BalanceAt, Plan
from halfpoint.tasting.model import Tasting

MANY = settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def linked(plan: Plan) -> set[str]:
    """The wines that can be reached from the first by way of tasters' glasses."""
    tasted = defaultdict(set)
    for (site, seat), pours in seats_of(plan).items():
        for pour in pours:
            tasted[pour.wine].add((site, seat))
    start = plan.pours[0].wine
    found, queue = {start}, deque([start])
    while queue:
        here = tasted[queue.popleft()]
        for wine, seats in tasted.items():
            if wine not in found and here & seats:
                found.add(wine)
                queue.append(wine)
    return found


@MANY
@given(tastings(), st.integers(0, 3))
def test_any_plan_can_be_poured_and_weighed(file: Tasting, seed: int) -> None:
    """Complete, connected, within capacity, and every seat of a site pours the same wines."""
    plan = make_plan(file, seed=seed)
    seats = seats_of(plan)

    assert {wine.key for wine in file.wines} == linked(plan)
    assert plan.balance.connected
    assert {(s.key, n) for s in file.sites for n in range(1, (s.seats or 0) + 1)} == set(seats)
    by_site = defaultdict(set)
    for (site, _), pours in seats.items():
        assert list(range(1, len(pours) + 1)) == [pour.position for pour in pours]
        assert len(pours) <= file.plan.capacity
        by_site[site].add(frozenset((pour.wine, pour.second_pour) for pour in pours))
        assert max(Counter(pour.flight for pour in pours).values()) <= file.plan.flight
    assert all(len(poured) == 1 for poured in by_site.values())


@MANY
@given(tastings(), st.integers(0, 3))
def test_codes_of_any_plan_say_nothing(file: Tasting, seed: int) -> None:
    """Three different digits and no run; one for each pour, distinct within a site."""
    codes = defaultdict(dict)
    bags = defaultdict(dict)
    for pour in make_plan(file, seed=seed).pours:
        item = (pour.wine, pour.second_pour)
        assert codes[pour.site].setdefault(item, pour.code) == pour.code
        assert bags[pour.site].setdefault(item, pour.bag) == pour.bag
    for named in (codes, bags):
        for of_site in named.values():
            assert len(of_site) == len(set(of_site.values()))
    assert all(says_nothing(code) for of_site in codes.values() for code in of_site.values())


@MANY
@given(tastings(), st.integers(0, 3))
def test_positions_within_a_site_are_even(file: Tasting, seed: int) -> None:
    """With an order for each taster and no second pours, counts differ by at most one."""
    file = file.model_copy(
        update={'plan': file.plan.model_copy(update={'second_pours': 0, 'orders': 'taster'})}
    )
    complete = len(file.wines) <= file.plan.capacity
    for site in make_plan(file, seed=seed).balance.sites:
        if complete:
            assert site.position.most - site.position.least <= 1


@MANY
@given(tastings(), st.integers(0, 3))
def test_a_second_pour_never_follows_its_first(file: Tasting, seed: int) -> None:
    """Where the style block has four pours or more, other wines stand between the two."""
    plan = make_plan(file, seed=seed)
    styles = {wine.key: wine.style for wine in file.wines}
    for pours in seats_of(plan).values():
        blocks = Counter(styles[pour.wine] for pour in pours)
        for before, pour in pairwise(pours):
            if blocks[styles[pour.wine]] >= 4:
                assert before.wine != pour.wine


@MANY
@given(tastings())
def test_styles_come_in_the_order_of_the_trade(file: Tasting) -> None:
    """Sparkling before white before rosé before red, at every seat."""
    place = {style: n for n, style in enumerate(file.plan.style_order)} | {None: 99}
    styles = {wine.key: place[wine.style] for wine in file.wines}
    for pours in seats_of(make_plan(file)).values():
        served = [styles[pour.wine] for pour in pours]
        assert sorted(served) == served


@MANY
@given(tastings(), st.integers(0, 1000))
def test_the_same_seed_gives_the_same_plan(file: Tasting, seed: int) -> None:
    """A plan is settled by the file and the seed."""
    assert make_plan(file, seed=seed) == make_plan(file, seed=seed)


def test_another_seed_gives_other_codes() -> None:
    """Codes are drawn, not counted off."""
    one, other = (make_plan(tasting(), seed=seed) for seed in (1, 2))
    assert [pour.code for pour in one.pours] != [pour.code for pour in other.pours]


@MANY
@given(st.lists(st.integers(0, 30), min_size=5, max_size=5), st.integers(0, 2))
def test_bottles_stay_within_those_at_hand(at_hand: list[int], seconds: int) -> None:
    """Spares and second pours included, no more bottles are planned than there are."""
    sites = [{'seats': seats} for seats in (6, 14, 20, 30)]
    file = tasting([{'bottles': count} for count in at_hand], sites, second_pours=seconds)
    try:
        plan = make_plan(file)
    except TastingFileError:
        assert min(at_hand) < 12
        return
    need: Counter[str] = Counter()
    for line in plan.bottles:
        need[line.wine] += line.bottles + line.spare
    assert all(need[wine.key] <= (wine.bottles or 0) for wine in file.wines)
    assert {pour.site for pour in plan.pours} == {site.key for site in file.sites}


def test_every_wine_everywhere_is_perfectly_even() -> None:
    """Four sites of six seats, six wines: one whole Williams square each."""
    balance = make_plan(tasting(6, [{'seats': 6}] * 4)).balance

    assert BalanceAt(4, 4) == balance.position == balance.predecessor
    assert [(BalanceAt(1, 1),) * 2] * 4 == [(s.position, s.predecessor) for s in balance.sites]
    assert 1.0 == balance.efficiency


def test_a_table_shares_its_order() -> None:
    """With orders by table, seats of a table are poured alike, and tables differ."""
    plan = make_plan(tasting(8, [{'seats': 16}], orders='table', table_seats=4))
    orders = defaultdict(set)
    for (_, seat), pours in seats_of(plan).items():
        orders[(seat - 1) // 4 + 1].add(tuple(pour.wine for pour in pours))
        assert {(seat - 1) // 4 + 1} == {pour.table for pour in pours}
    assert [1, 1, 1, 1] == [len(found) for found in orders.values()]
    assert 4 == len(set.union(*orders.values()))


def test_a_site_may_share_one_order() -> None:
    """With orders by site, everybody there is poured alike."""
    plan = make_plan(tasting(5, 3, orders='site'))
    orders = {(site, tuple(p.wine for p in pours)) for (site, _), pours in seats_of(plan).items()}
    assert 3 == len(orders)


def test_named_second_pours_are_poured_everywhere() -> None:
    """Wines named for a hidden second pour have one at every site, under another code."""
    plan = make_plan(tasting(6, 3, second_pours=('w02', 'w04')))
    twice = {(pour.site, pour.wine) for pour in plan.pours if pour.second_pour}
    assert {(f's0{site}', wine) for site in range(3) for wine in ('w02', 'w04')} == twice


def test_drawn_second_pours_take_turns() -> None:
    """Over as many sites as wines, each wine is drawn once."""
    plan = make_plan(tasting(6, 6, second_pours=1))
    counts = Counter(w for _, w in {(p.site, p.wine) for p in plan.pours if p.second_pour})
    assert dict.fromkeys((f'w0{n}' for n in range(6)), 1) == counts


def test_pinned_and_missing_wines_are_respected() -> None:
    """A pinned wine is poured everywhere asked, a missing one is not."""
    sites = [{'pinned': ('w03',)}, {'missing': ('w00',)}, {}, {}, {}, {}]
    plan = make_plan(tasting(8, sites, capacity=4, pinned=('w07',)))
    at = defaultdict(set)
    for pour in plan.pours:
        at[pour.site].add(pour.wine)
    assert all('w07' in wines for wines in at.values())
    assert 'w03' in at['s00']
    assert 'w00' not in at['s01']


def test_a_wine_alone_in_its_style_is_told() -> None:
    """A style order that cannot be balanced is planned with the loss stated."""
    wines = [{'style': 'white'}] * 4 + [{'style': 'red', 'name': "Lonely Red"}]
    losses = make_plan(tasting(wines)).losses
    assert "Alone in its block, always at the same place: Lonely Red." in losses


def test_a_block_design_that_cannot_be_is_told_with_the_nearest() -> None:
    """Seven wines, three a site, need seven sites for balance; eight get a search."""
    losses = make_plan(tasting(7, 8, capacity=3)).losses
    assert "No balanced design exists for 7 wines at 8 sites, 3 at each" in losses[0]
    assert "the nearest has 7 sites" in losses[0]


def test_seven_wines_three_a_site_at_seven_sites_are_balanced() -> None:
    """The design of seven lines on seven points is found, with nothing lost."""
    plan = make_plan(tasting(7, 7, capacity=3))
    assert () == plan.losses
    assert pytest.approx(1.0) == plan.balance.efficiency


def test_avoided_codes_are_not_used() -> None:
    """Codes of last year's tasting stay out."""
    last = make_plan(tasting(12, 1))
    codes = tuple({pour.code for pour in last.pours})
    now = make_plan(tasting(12, 1, avoid_codes=codes))
    assert not {pour.code for pour in now.pours} & set(codes)


def test_second_pours_are_drawn_where_there_is_room() -> None:
    """A wine alone in its style is not drawn for a second pour while others have company."""
    wines = [{'style': 'white'}] * 3 + [{'style': 'red'}, {'style': 'sparkling'}]
    plan = make_plan(tasting(wines, 6, second_pours=1))
    assert {'w00', 'w01', 'w02'} == {pour.wine for pour in plan.pours if pour.second_pour}
    assert not any("side by side" in loss for loss in plan.losses)
