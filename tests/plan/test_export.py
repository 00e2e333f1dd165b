"""The plan as data and back."""

from __future__ import annotations

import json

import pytest
from tests.plan.sample import tasting

from halfpoint.errors import InputError
from halfpoint.plan.export import (
    plan_data,
    plan_from_data,
    plan_from_json,
    plan_json,
    same_plan,
)
from halfpoint.plan.make import make_plan

FILE = tasting(
    [{'alcohol': 12.5, 'price': 14.3, 'bottles': 40}, {'name': "Côte “½”", 'price': 9.99}, {}],
    [{'seats': 3}, {'seats': 4}],
    second_pours=1,
)
PLAN = make_plan(FILE, previous=make_plan(tasting(4, 3)))


def test_the_plan_comes_back_exactly() -> None:
    """Written as JSON or as plain data and read again, it is the same to the last digit."""
    assert PLAN == plan_from_json(plan_json(PLAN))
    assert PLAN == plan_from_data(json.loads(json.dumps(plan_data(PLAN))))
    assert PLAN.retired


def test_a_pour_is_a_line() -> None:
    """The JSON can be read by a person: a pour, a bottle, a taster a line."""
    lines = plan_json(PLAN).splitlines()
    assert len(PLAN.pours) == sum(line.startswith('    {"site"') and '"bag"' in line and
                                  '"seat"' in line for line in lines)  # fmt: skip
    assert plan_data(PLAN) == json.loads(plan_json(PLAN))


def test_the_json_has_what_was_asked() -> None:
    """The fields that other programs rely on, by name."""
    data = plan_data(PLAN)
    pour = {'site', 'table', 'seat', 'flight', 'position', 'code', 'wine', 'second_pour'}
    assert pour <= set(data['pours'][0])
    assert {'by_position', 'by_predecessor', 'efficiency', 'connected'} <= set(data['balance'])
    assert {'site', 'wine', 'pours', 'bottles', 'spare'} == set(data['bottles'][0])
    assert {'grams', 'drinks_10g', 'drinks_14g'} <= set(data['alcohol'][0])


@pytest.mark.parametrize('text', ['{"tasting": 3}', '[]', 'nothing', '{}', '\x00'])
def test_what_is_no_plan_is_refused(text: str) -> None:
    """A file that is something else is refused in words."""
    with pytest.raises(InputError) as refusal:
        plan_from_json(text)
    assert "a plan as halfpoint plan writes it" == refusal.value.expected


def test_plans_are_the_same_when_they_pour_the_same() -> None:
    """The seed and what is said beside the plan make no difference; a pour does."""
    one, other = make_plan(FILE, seed=1), make_plan(FILE, seed=2)
    assert same_plan(one, make_plan(FILE, seed=9, previous=one))
    assert not same_plan(one, other)
