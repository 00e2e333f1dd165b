"""The organiser's shopping list: what to buy, what it costs, and what goes to which site."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from halfpoint.plan.model import Plan
from halfpoint.publish.handouts.cellar_key import named
from halfpoint.publish.handouts.evening import Evening
from halfpoint.publish.handouts.tables import TICK, plain_table
from halfpoint.publish.numbers import UNKNOWN, number, plural
from halfpoint.tasting.model import Tasting
from halfpoint.typeface.letters import one_line

Data = dict[str, Any]

WINES_ACROSS = 12
LONGEST = 90


def shopping_list(tasting: Tasting, plan: Plan, evenings: Sequence[Evening]) -> Data:
    """The whole tasting's wines with money, then bottles by site."""
    return {
        'who': "Names the wines: for the organiser",
        'lead': _lead(plan, evenings),
        'wines': _wines(tasting, plan),
        'notes': _notes(tasting, plan),
        'sites': _sites(tasting, evenings),
    }


def _lead(plan: Plan, evenings: Sequence[Evening]) -> str:
    bottles = sum(line.bottles for line in plan.money.wines)
    buy = sum(line.to_buy for line in plan.money.wines)
    cost = _price(plan.money.total, plan.money.currency)
    sites = plural(len(evenings), "site")
    least = "at least " if plan.money.missing else ""
    return f"{plural(bottles, 'bottle')} for {sites}, {buy:,} of them to buy. Cost {least}{cost}."


def _price(amount: float, currency: str) -> str:
    return f"{one_line(currency, LONGEST)} {number(amount, 2)}".strip()


def _wines(tasting: Tasting, plan: Plan) -> Data:
    columns = [
        ("", 'center', '9mm'), ("no.", 'right', '10mm'), ("wine", 'left', '1fr'),
        ("bottles", 'right', '17mm'), ("at hand", 'right', '17mm'), ("to buy", 'right', '15mm'),
        ("cases of 6", 'right', '15mm'), ("a bottle", 'right', '19mm'), ("cost", 'right', '22mm'),
    ]  # fmt: skip
    lines = {line.wine: line for line in plan.money.wines}
    rows = []
    for place, wine in enumerate(tasting.wines, start=1):
        line = lines.get(wine.key)
        if line is None or not line.bottles:
            continue
        at_hand = UNKNOWN if line.at_hand is None else f'{line.at_hand:,}'
        price = number(None if wine.price is None else float(wine.price), 2)
        counts = [f'{line.bottles:,}', at_hand, f'{line.to_buy:,}', f'{line.cases:,}']
        rows.append([TICK, str(place), named(wine), *counts, price, number(line.cost, 2)])
    return plain_table(columns, rows, size=11, inset=5)


def _notes(tasting: Tasting, plan: Plan) -> list[str]:
    currency = f" in {one_line(tasting.currency, LONGEST)}" if tasting.currency else ""
    notes = [
        f"Bottles count the spares. Cost is{currency}, for every bottle, those at hand too.",
        "Buy one lot of each wine, and see that every site gets bottles of it.",
    ]
    if plan.money.missing:
        notes.append(f"No price is told for {plural(len(plan.money.missing), 'wine')}.")
    return notes


def _sites(tasting: Tasting, evenings: Sequence[Evening]) -> list[Data]:
    """Bottles by site, so many wines to a table as fit across."""
    counts = {
        (evening.site.key, line.wine): line.bottles + line.spare
        for evening in evenings
        for line in evening.bottles
    }
    numbered = list(enumerate(tasting.wines, start=1))
    shares = [numbered[at : at + WINES_ACROSS] for at in range(0, len(numbered), WINES_ACROSS)]
    tables = []
    for nth, share in enumerate(shares):
        last = nth == len(shares) - 1
        columns = [("site", 'left', '1fr'), *((str(n), 'right', '8.5mm') for n, _ in share)]
        columns += [("all", 'right', '12mm')] if last else []
        rows = [
            [one_line(evening.site.name, LONGEST),
             *(str(counts.get((evening.site.key, wine.key), '')) for _, wine in share),
             *([str(sum(line.bottles + line.spare for line in evening.bottles))] if last else [])]
            for evening in evenings
        ]  # fmt: skip
        tables.append(plain_table(columns, rows, size=10.5, inset=4))
    return tables
