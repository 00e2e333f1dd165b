"""The plan on the terminal: in words, then balance, losses, bottles, money, alcohol, cautions."""

from __future__ import annotations

from collections import Counter, defaultdict
from typing import TYPE_CHECKING

from rich import box
from rich.table import Table
from rich.text import Text

from halfpoint.publish.numbers import number, plural

if TYPE_CHECKING:
    from rich.console import Console

    from halfpoint.plan.model import BalanceAt, Plan
    from halfpoint.tasting.model import Tasting

MOST_ROWS = 24
# Common practice, no source: about 15 wines are as many as lay tasters can judge in an evening.
MOST_IN_AN_EVENING = 15

ORDERS = {
    'taster': "Each taster has a serving order of their own.",
    'table': "Each table has a serving order of its own.",
    'site': "Each site has one serving order for all.",
}
CAUTIONS = (
    "Spit, drink water and eat; nobody drives afterwards.",
    "Nobody below the legal age is poured for, nor anybody who is pregnant or asks not to be.",
    "Where local law says more, local law holds.",
)


def print_plan(console: Console, tasting: Tasting, plan: Plan) -> None:
    """Show what is planned, how even it is, what it takes, and the cautions."""
    _heading(console, tasting.title)
    for line in (*_in_words(tasting, plan), *plan.notes):
        console.print(line)
    _heading(console, "Balance")
    for line in _balance(plan):
        console.print(line)
    if plan.losses:
        _heading(console, "What could not be had")
        for line in plan.losses:
            console.print(line)
    _heading(console, "Bottles and money")
    console.print(_bottles(tasting, plan))
    console.print(_money(plan))
    _heading(console, "Alcohol, if every pour were swallowed")
    for line in (*_alcohol(plan), *CAUTIONS):
        console.print(line)
    console.print()


def _heading(console: Console, text: str) -> None:
    console.print()
    console.print(Text(text, style='bold'))


def _in_words(tasting: Tasting, plan: Plan) -> list[str]:
    seats = {(pour.site, pour.seat) for pour in plan.pours}
    sites = {pour.site for pour in plan.pours}
    per_seat = Counter((pour.site, pour.seat) for pour in plan.pours).values()
    flights = max((pour.flight for pour in plan.pours), default=0)
    pours = plural(max(per_seat), "pour") if len(set(per_seat)) == 1 else (
        f"{min(per_seat)} to {plural(max(per_seat), 'pour')}"
    )  # fmt: skip
    counts = [plural(len(tasting.wines), "wine"), plural(len(sites), "site")]
    evening = "in one flight" if flights == 1 else f"in up to {flights} flights"
    return [
        f"{', '.join(counts)}, {plural(len(seats), 'seat')}; {pours} a taster, {evening}.",
        f"{ORDERS[tasting.plan.orders]} {_shared_out(tasting, plan)}",
        _second_pours(plan),
    ]


def _shared_out(tasting: Tasting, plan: Plan) -> str:
    at: dict[str, set[str]] = defaultdict(set)
    for pour in plan.pours:
        at[pour.wine].add(pour.site)
    sites = {pour.site for pour in plan.pours}
    times = [len(at[wine.key]) for wine in tasting.wines]
    if min(times) == len(sites):
        return "Every site pours every wine."
    return f"Each wine is poured at {_span(min(times), max(times))} of {len(sites)} sites."


def _second_pours(plan: Plan) -> str:
    pairs = {(pour.site, pour.wine) for pour in plan.pours if pour.second_pour}
    if not pairs:
        return "No hidden second pours: how well tasters repeat themselves will not be known."
    counts = Counter(site for site, _ in pairs)
    sites = {pour.site for pour in plan.pours}
    least = min(counts[site] for site in sites)
    wines = len({wine for _, wine in pairs})
    times = _span(least, max(counts.values()))
    return f"Hidden second pours: {times} at each site, of {plural(wines, 'wine')} in all."


def _balance(plan: Plan) -> list[str]:
    balance = plan.balance
    position = _worst([site.position for site in balance.sites])
    predecessor = _worst([site.predecessor for site in balance.sites])
    lines = [
        "Over the tasting a wine stands",
        f"  at each place of its style block {_times(balance.position)},",
        f"  right after each other wine of its block {_times(balance.predecessor)};",
        f"within a site {position} and {predecessor}, at worst.",
    ]
    if balance.efficiency < 1.0 - 1e-9:
        lines.append(
            f"The sharing out reaches {100 * balance.efficiency:.1f} % of the best there could be."
        )
    lines.append("All wines can be compared." if balance.connected else "Wines are not all linked.")
    return lines


def _times(at: BalanceAt) -> str:
    return f"{_span(at.least, at.most)} {'time' if at.least == at.most == 1 else 'times'}"


def _worst(sites: list[BalanceAt]) -> str:
    worst = max(sites, key=lambda at: at.most - at.least)
    return _times(worst)


def _span(least: int, most: int) -> str:
    return f"{least:,}" if least == most else f"{least:,} to {most:,}"


def _bottles(tasting: Tasting, plan: Plan) -> Table:
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    table.add_column("wine")
    for column in ("pours", "bottles", "to buy", "cost"):
        table.add_column(column, justify='right')
    names = {wine.key: wine.name for wine in tasting.wines}
    pours: Counter[str] = Counter()
    for line in plan.bottles:
        pours[line.wine] += line.pours
    for wine in plan.money.wines[:MOST_ROWS]:
        figures = (pours[wine.wine], wine.bottles, wine.to_buy)
        table.add_row(
            Text(names[wine.wine]), *(f"{each:,}" for each in figures), number(wine.cost, 2)
        )
    left = len(plan.money.wines) - MOST_ROWS
    if left > 0:
        table.add_row(Text(f"and {plural(left, 'more wine')}: see money.csv"))
    return table


def _money(plan: Plan) -> str:
    bottles = sum(wine.bottles for wine in plan.money.wines)
    spare = sum(line.spare for line in plan.bottles)
    said = f"{plural(bottles, 'bottle')} in all, {spare:,} of them spare"
    if len(plan.money.missing) < len(plan.money.wines):
        said += f", {number(plan.money.total, 2)} {plan.money.currency}".rstrip()
    if plan.money.missing:
        said += f"; no price for {plural(len(plan.money.missing), 'wine')}"
    return f"{said}."


def _alcohol(plan: Plan) -> list[str]:
    most = max(plan.alcohol, key=lambda seat: seat.grams)
    least = min(plan.alcohol, key=lambda seat: seat.grams)
    grams = _range(least.grams, most.grams, 0)
    who = _range(least.drinks_10g, most.drinks_10g, 1)
    us = _range(least.drinks_14g, most.drinks_14g, 1)
    lines = [f"{grams} g a taster: {who} standard drinks of 10 g, {us} of 14 g."]
    pours = max(Counter((pour.site, pour.seat) for pour in plan.pours).values())
    if pours > MOST_IN_AN_EVENING:
        lines.append(
            f"{pours} pours are more than the {MOST_IN_AN_EVENING} or so that lay tasters can "
            "judge in an evening: think of two evenings, or of fewer wines a site."
        )
    return lines


def _range(least: float, most: float, decimals: int) -> str:
    low, high = number(least, decimals), number(most, decimals)
    return low if low == high else f"{low} to {high}"
