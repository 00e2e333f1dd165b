"""The plan as open data: CSV tables, the JSON Schema of `plan.json`, and the page about it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import astuple, fields
from functools import cache
from typing import Any

from pydantic import TypeAdapter

from halfpoint.plan.model import Plan, Pour, SeatAlcohol, SiteBottles, WineMoney
from halfpoint.publish.export.schema import DIALECT, Generate, shape_page
from halfpoint.publish.export.tables import csv_text
from halfpoint.tasting.model import Tasting

# The words of the reference page; a test holds them complete.
MEANINGS = {
    'tasting': "key of the tasting",
    'seed': "seed of every draw",
    'pours': "every pour, seat by seat in serving order",
    'balance': "how even the orders are",
    'bottles': "bottles of each wine at each site",
    'money': "what the wines cost",
    'alcohol': "alcohol for each seat if every pour were swallowed",
    'losses': "what could not be had, in words",
    'notes': "what the plan had to say besides",
    'retired': "codes once printed for what is poured no longer; they are not given away again",
    'site': "key of the site; `room` in a tasting file without sites",
    'table': "table at the site, from 1",
    'seat': "seat at the site, from 1",
    'flight': "flight of the evening, from 1",
    'position': "place in the serving order, through the whole evening from 1",
    'code': "the blind code the taster sees",
    'wine': "key of the wine",
    'second_pour': "whether it is the hidden second pour of this wine",
    'bag': "the letter the steward sees",
    'taster': "key of the taster on that seat; null when nobody is listed",
    'by_position': "pours of each wine at each position, first position first",
    'by_predecessor': "for each wine, how often each other wine came right after it",
    'Balance.position': (
        "pours of a wine at a position of its style block, over the whole tasting, first pours"
    ),
    'SiteBalance.position': "pours of a wine at a position of its style block, within the site",
    'predecessor': "pours of a wine right after another of its style block",
    'sites': "the same within each site",
    'efficiency': "of the sharing out of wines against the best there could be; 1 when complete",
    'connected': "whether all wines can be compared",
    'least': "least often",
    'most': "most often",
    'SiteBottles.pours': "pours of the wine at the site",
    'SiteBottles.bottles': "bottles for those pours",
    'spare': "spare bottles",
    'currency': "what prices are in",
    'total': "cost of all bottles with a price, spares included",
    'wines': "a line for each wine",
    'missing': "wines without a price",
    'WineMoney.bottles': "bottles over all sites, spares included",
    'at_hand': "bottles at hand; null when the file does not say",
    'to_buy': "bottles to buy",
    'cases': "cases of six to buy",
    'cost': "cost of all its bottles; null without a price",
    'grams': "grams of alcohol",
    'drinks_10g': "standard drinks of 10 g",
    'drinks_14g': "standard drinks of 14 g",
}
_INTRODUCTION = """# The plan as JSON

<!-- Made by tools/reference.py: change the code, then run `make docs`. -->

`halfpoint plan … --into DIR` writes `plan.json`, and `--json FILE` writes the same elsewhere.
It names the wine behind every code: keep it from tasters until the reveal.
Fields always come in the order below.
"""


@cache
def _schema() -> dict[str, Any]:
    made = TypeAdapter(Plan).json_schema(mode='serialization', schema_generator=Generate)
    return {'$schema': DIALECT, **made, 'title': 'halfpoint plan'}


def plan_schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) of `plan.json`."""
    return dict(_schema())


def plan_page() -> str:
    """The reference page of `plan.json`, in Markdown."""
    return shape_page(_schema(), _INTRODUCTION, MEANINGS)


def plan_tables(plan: Plan, tasting: Tasting) -> dict[str, str]:
    """File name → CSV text: pours, bottles, money, alcohol, balance."""
    names = {wine.key: wine.name for wine in tasting.wines}
    return {
        'pours.csv': _table(Pour, plan.pours),
        'bottles.csv': _table(SiteBottles, plan.bottles, names),
        'money.csv': _table(WineMoney, plan.money.wines, names),
        'alcohol.csv': _table(SeatAlcohol, plan.alcohol),
        'balance.csv': csv_text(*_balance(plan, names)),
    }


def _table(shape: type, lines: Sequence[Any], names: dict[str, str] | None = None) -> str:
    header = tuple(each.name for each in fields(shape))
    rows = (tuple(map(_cell, astuple(line))) for line in lines)
    if names is None:
        return csv_text(header, rows)
    named = ((*row, names.get(line.wine, '')) for row, line in zip(rows, lines, strict=True))
    return csv_text((*header, 'name'), named)


def _cell(value: Any) -> Any:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return round(value, 2) if isinstance(value, float) else value


def _balance(plan: Plan, names: dict[str, str]) -> tuple[list[str], Iterator[list[Any]]]:
    """A row a wine: how often at each position, and how often right after each wine."""
    wines = list(plan.balance.by_position)
    longest = max((len(counts) for counts in plan.balance.by_position.values()), default=0)
    positions = [f'position {place}' for place in range(1, longest + 1)]
    header = ['wine', 'name', *positions, *(f'after {wine}' for wine in wines)]
    after = plan.balance.by_predecessor
    rows = (
        [
            wine,
            names.get(wine, ''),
            *plan.balance.by_position[wine],
            *(after.get(before, {}).get(wine, 0) for before in wines),
        ]
        for wine in wines
    )
    return header, rows
