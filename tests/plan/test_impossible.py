"""What cannot be planned is refused, with what was found and the nearest that can be had."""

from __future__ import annotations

from typing import Any

import pytest
from tests.plan.sample import tasting

from halfpoint.errors import InputError, TastingFileError
from halfpoint.plan.make import make_plan
from halfpoint.tasting.model import Taster

IMPOSSIBLE: dict[str, tuple[dict[str, Any], str, str]] = {
    'one wine': ({'wines': 1}, "1 wine", "add a wine"),
    'ten thousand wines': ({'wines': 10_000}, "10,000 wines", "split the tasting"),
    'second pours': ({'second_pours': 7}, "7 second pours of 6 wines", "at most 6"),
    'second pour of a stranger': ({'second_pours': ('x',)}, "'x'", "correct the key"),
    'second pour named twice': ({'second_pours': ('w01', 'w01')}, "'w01' twice", "correct"),
    'pinned stranger': ({'pinned': ('x',)}, "'x'", "correct the key"),
    'pinned stranger at a site': ({'sites': [{'pinned': ('x',)}]}, "'x'", "correct the key"),
    'missing stranger': ({'sites': [{'missing': ('x',)}]}, "'x'", "correct the key"),
    'pour larger than a bottle': (
        {'pour_ml': 200, 'bottle_ml': 150}, "gives no pour of 200 ml", "lower pour_ml",
    ),
    'more pinned than capacity': (
        {'capacity': 2, 'pinned': ('w00', 'w01', 'w02')}, "3 pinned wines", "capacity to 3",
    ),
    'capacity below need': (
        {'capacity': 2, 'sites': 3}, "6 wines cannot all be linked", "nearest: 3 wines at each",
    ),
    'no bottle of a pinned wine': (
        {'wines': [{'bottles': 0}, {}, {}], 'pinned': ('w00',)}, "reach 0 of 4", "buy more",
    ),
    'no bottle of any': ({'wines': [{'bottles': 0}] * 3}, "reach 0 of 1", "buy more bottles"),
    'codes all used up': (
        {'avoid_codes': tuple(f'{n:03}' for n in range(1000))}, "codes are needed", "name fewer",
    ),
}  # fmt: skip


@pytest.mark.parametrize('case', IMPOSSIBLE)
def test_what_cannot_be_is_refused(case: str) -> None:
    """Each names what was found and what to do."""
    given, found, remedy = IMPOSSIBLE[case]
    with pytest.raises(InputError) as refusal:
        make_plan(tasting(**given))
    assert found in refusal.value.found
    assert remedy in refusal.value.remedy


def test_more_tasters_than_seats_are_refused() -> None:
    """A site with fewer seats than tasters listed is named."""
    file = tasting(3, [{'seats': 1}])
    sit = tuple(Taster(key=name, site='s00') for name in ('ann', 'bob'))
    with pytest.raises(TastingFileError, match="1 seats for 2 tasters"):
        make_plan(file.model_copy(update={'tasters': sit}))


def test_the_nearest_named_can_be_planned() -> None:
    """What the refusal of too small a capacity offers does work."""
    assert make_plan(tasting(6, 3, capacity=3)).balance.connected


def test_wines_that_every_site_lacks_are_refused() -> None:
    """A wine that no site can pour cannot be compared."""
    with pytest.raises(TastingFileError, match="0 of 1 sites"):
        make_plan(tasting(4, [{'missing': ('w02',)}] * 3))
