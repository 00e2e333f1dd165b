"""Codes in a whole plan."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from tests.plan.sample import tasting

from halfpoint.plan.make import make_plan


def test_codes_say_nothing_of_wine_site_or_place() -> None:
    """Over many sites nothing goes with the code: correlations stay within chance."""
    plan = make_plan(tasting(8, 150, seats=1), seed=4)
    codes = np.array([int(pour.code) for pour in plan.pours])
    # Four standard errors of the correlation of independent numbers.
    limit = 4.0 / np.sqrt(codes.size)
    for others in (
        [int(pour.wine[1:]) for pour in plan.pours],
        [int(pour.site[1:]) for pour in plan.pours],
        [pour.position for pour in plan.pours],
        [ord(pour.bag) for pour in plan.pours],
    ):
        assert abs(np.corrcoef(codes, others)[0, 1]) < limit


def test_sites_do_not_share_their_codes() -> None:
    """A wine has another code at nearly every site: what is said next door gives nothing away."""
    plan = make_plan(tasting(8, 40, seats=1), seed=4)
    first = [pour.code for pour in sorted(plan.pours, key=lambda p: p.site) if pour.wine == 'w00']
    assert len(set(first)) > 30
    assert any(a > b for a, b in pairwise(first))
