"""The papers for those who buy the bottles and bag them."""

from __future__ import annotations

from tests.publish.handouts.sample import KIND, planned, printed, tasting, whole

from halfpoint.publish.handouts.cellar_key import WHO
from halfpoint.publish.handouts.shopping_list import shopping_list
from halfpoint.tasting.model import Site


def test_the_key_has_every_bag_with_its_wine() -> None:
    """Each bag of the plan stands with its wine; the paper says whose it is."""
    evening = planned(tasting(wines=4, second_pours=1))[1][0]
    rows = KIND['cellar-key'].compose(evening)['key']['rows']
    names = {wine.key: f'{wine.name}, 1987' for wine in evening.tasting.wines}
    expected = {pour.bag: names[pour.wine] for pour in evening.pours}
    assert expected == {row[1]: row[2].split(' (')[0] for row in rows}
    assert WHO in whole(printed(KIND['cellar-key'], evening))


def test_two_bags_of_one_wine_name_each_other() -> None:
    """A wine that is poured twice has its bottles shared between its bags, and the key says so."""
    evening = planned(tasting(wines=4, second_pours=1))[1][0]
    first, second = (bag.letter for bag in evening.bags if bag.twin)
    rows = {row[1]: row for row in KIND['cellar-key'].compose(evening)['key']['rows']}
    assert f"also in bag {second}" in rows[first][2]
    assert f"shared with {first}" in rows[second][3]
    assert "share its bottles" in whole(printed(KIND['cellar-key'], evening))


def test_the_cellar_list_counts_as_the_plan_does() -> None:
    """Pours, bottles and spares of the plan, wine by wine; no price, no bag."""
    evening = planned(tasting(wines=5, seats=20))[1][0]
    rows = KIND['cellar-list'].compose(evening)['list']['rows']
    lines = {line.wine: line for line in evening.bottles}
    expected = [
        [str(n) for n in (line.pours, line.bottles, line.spare, line.bottles + line.spare)]
        for line in (lines[wine.key] for wine in evening.tasting.wines)
    ]
    assert expected == [row[3:] for row in rows]
    assert '4,32' not in whole(printed(KIND['cellar-list'], evening))


def test_the_shopping_list_has_the_money_of_the_plan() -> None:
    """Bottles and cost add up to the plan's own, and each site's bottles to its lines."""
    one = tasting(wines=14, seats=10)
    plan, evenings = planned(one)
    data = shopping_list(one, plan, evenings)
    rows = data['wines']['rows']
    assert [f'{line.bottles}' for line in plan.money.wines] == [row[3] for row in rows]
    assert plan.money.total == sum(float(row[8].replace(',', '')) for row in rows)
    assert f"EUR {plan.money.total:,.2f}" in data['lead']
    first, second = data['sites']
    for place, evening in enumerate(evenings):
        counts = [int(n) for n in first['rows'][place][1:] + second['rows'][place][1:-1]]
        assert sum(counts) == int(second['rows'][place][-1])
        assert sum(line.bottles + line.spare for line in evening.bottles) == sum(counts)


def test_a_wine_without_a_price_is_told() -> None:
    """The cost is then a least cost, and a note says for how many wines no price is told."""
    one = tasting(wines=3)
    bare = one.wines[0].model_copy(update={'price': None})
    one = one.model_copy(update={'wines': (bare, *one.wines[1:])})
    plan, evenings = planned(one)
    data = shopping_list(one, plan, evenings)
    assert "Cost at least EUR" in data['lead']
    assert "No price is told for 1\u00a0wine." in data['notes']


def test_a_site_that_pours_some_wines_lists_those() -> None:
    """A wine that a site cannot pour is neither on its key nor on its list."""
    sites = [Site(key='a', name="A"), Site(key='b', name="B", missing=('zqk0',))]
    evening = planned(tasting(wines=4, sites=sites))[1][1]
    for kind in ('cellar-key', 'cellar-list'):
        text = whole(printed(KIND[kind], evening))
        assert "Zqname Hill 0" not in text
        assert "Zqname Hill 1" in text
