"""A plan made again after printing changes nothing that is on paper."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.plan.sample import names_of, seats_of, tasting, tastings

from halfpoint.plan.export import same_plan
from halfpoint.plan.make import make_plan
from halfpoint.plan.model import Plan
from halfpoint.tasting.model import Site, Taster, Tasting, Wine

MANY = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def check_kept(before: Plan, after: Plan) -> None:
    """No code, no bag and no seat's order of what stays has changed; new codes are new."""
    old, new = names_of(before), names_of(after)
    for item in old.keys() & new.keys():
        assert old[item] == new[item]
    for site, wine, second in new.keys() - old.keys():
        taken = {name for item, name in old.items() if item[0] == site}
        code, bag = new[site, wine, second]
        assert code not in {name[0] for name in taken}
        assert bag not in {name[1] for name in taken}
    seats = seats_of(before)
    for seat, pours in seats_of(after).items():
        stays = {(p.wine, p.second_pour) for p in pours}
        was = [(p.wine, p.second_pour) for p in seats.get(seat, [])]
        kept = [item for item in was if item in stays]
        if was:
            assert kept == [
                (p.wine, p.second_pour) for p in pours if (p.wine, p.second_pour) in was
            ]


@MANY
@given(tastings(), st.integers(0, 3))
def test_nothing_changed_is_the_same_plan(file: Tasting, seed: int) -> None:
    """Planned again from the same file, with any seed, it pours the same."""
    plan = make_plan(file, seed=seed)
    assert same_plan(plan, make_plan(file, seed=seed + 7, previous=plan))


def changed(file: Tasting, what: str, draw: st.DataObject) -> Tasting:
    """The file after something happened."""
    sites, wines = list(file.sites), list(file.wines)
    place = draw.draw(st.integers(0, len(sites) - 1))
    # A bottle that is missing at the only site left could not be poured at all.
    if what == 'site drops out' and len(sites) > 1 and not any(site.missing for site in sites):
        del sites[place]
    if what == 'new site':
        sites.insert(place, Site(key='new', name="New", seats=5))
    if what == 'more seats':
        site = sites[place]
        sites[place] = site.model_copy(update={'seats': (site.seats or 0) + 3})
    if what == 'bottle missing' and len(sites) > 1:
        sites[place] = sites[place].model_copy(update={'missing': (wines[0].key,)})
    if what == 'wine removed' and len(wines) > 3:
        # A wine of which a bottle is missing is still named.
        missing = {key for site in sites for key in site.missing}
        free = [number for number, wine in enumerate(wines) if wine.key not in missing]
        del wines[draw.draw(st.sampled_from(free))]
    if what == 'wine added':
        wines.insert(1, Wine(key='new', name="New", style=wines[0].style))
    if what == 'style corrected':
        wines[0] = wines[0].model_copy(update={'style': 'fortified'})
    return file.model_copy(update={'sites': tuple(sites), 'wines': tuple(wines)})


CHANGES = (
    'site drops out', 'new site', 'more seats', 'bottle missing', 'wine removed', 'wine added',
    'style corrected',
)  # fmt: skip


@MANY
@given(tastings(), st.lists(st.sampled_from(CHANGES), min_size=1, max_size=3), st.data())
def test_no_printed_code_ever_changes(
    file: Tasting, changes: list[str], data: st.DataObject
) -> None:
    """Whatever happens to the file, every earlier plan's papers still hold."""
    file = file.model_copy(
        update={'plan': file.plan.model_copy(update={'capacity': len(file.wines) + 6})}
    )
    plans = [make_plan(file)]
    for change in dict.fromkeys(changes):
        file = changed(file, change, data)
        plans.append(make_plan(file, seed=5, previous=plans[-1]))
        for before in plans[:-1]:
            check_kept(before, plans[-1])


def test_a_wine_that_comes_back_has_its_old_code() -> None:
    """A code once printed is given to nothing else, and comes back with its wine."""
    file = tasting(5, 2)
    first = make_plan(file)
    without = make_plan(file.model_copy(update={'wines': file.wines[1:]}), previous=first)
    again = make_plan(file, previous=without)

    assert {'w00'} == {old.wine for old in without.retired}
    assert names_of(first) == names_of(again)
    assert () == again.retired


def test_tasters_keep_their_seats() -> None:
    """Guests who come later take free seats, whatever their place in the file."""
    file = tasting(4, [{'seats': 6}])
    sit = [Taster(key=name, site='s00') for name in ('ann', 'bob', 'cy')]
    first = make_plan(file.model_copy(update={'tasters': tuple(sit)}))
    later = (Taster(key='zoe', site='s00'), sit[2], sit[1])
    then = make_plan(file.model_copy(update={'tasters': later}), previous=first)

    assert {1: 'ann', 2: 'bob', 3: 'cy'} == who_sits(first)
    assert {1: 'zoe', 2: 'bob', 3: 'cy'} == who_sits(then)


def who_sits(plan: Plan) -> dict[int, str]:
    """Seat to taster."""
    return {pour.seat: pour.taster for pour in plan.pours if pour.taster}


def test_what_comes_too_late_is_told() -> None:
    """A wine added after printing stands last in its block, and the plan says so."""
    file = tasting(4, 2)
    more = file.model_copy(update={'wines': (*file.wines, Wine(key='late', name="Late One"))})
    plan = make_plan(more, previous=make_plan(file))

    assert any("always last of its style block there: Late One" in loss for loss in plan.losses)
    assert {'late'} == {pours[-1].wine for pours in seats_of(plan).values()}


def test_second_pours_asked_for_after_printing_are_told() -> None:
    """The plan does not print anew for them, and says that it does not."""
    file = tasting(4, 2)
    asked = file.model_copy(update={'plan': file.plan.model_copy(update={'second_pours': 1})})
    plan = make_plan(asked, previous=make_plan(file))

    assert not any(pour.second_pour for pour in plan.pours)
    assert any("Hidden second pours stay as they were planned" in note for note in plan.notes)
