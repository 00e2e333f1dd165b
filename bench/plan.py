"""`make_plan` for a large tasting: complete with an order for each taster, and incomplete.

Complete: 100 sites of 30 tasters, 12 wines.  Incomplete: 60 wines, 100 sites, 8 wines a site.
"""

from __future__ import annotations

import statistics
import sys
from dataclasses import dataclass
from pathlib import Path

from halfpoint.plan.make import make_plan
from halfpoint.plan.model import Plan
from halfpoint.sheet.load import load_sheet
from halfpoint.tasting.model import Site, Tasting, Wine
from halfpoint.tasting.planning import Planning
from measure.figures import describe, keep, machine, print_table
from measure.runs import seconds_of

SEED, TIMES = 20, 3


@dataclass(frozen=True, slots=True)
class Case:
    """A tasting to plan, how long that may take, and the efficiency it has to reach."""

    name: str
    wines: int
    sites: int
    settings: Planning
    seconds: float
    efficiency: float


CASES = (
    Case("complete, an order each", 12, 100, Planning(seats=30), 3.0, 1.0),
    Case("with a second pour", 12, 100, Planning(seats=30, second_pours=1), 3.0, 1.0),
    Case("incomplete, 8 of 60 a site", 60, 100, Planning(seats=10, capacity=8), 20.0, 0.95),
)


def invented(case: Case) -> Tasting:
    """The tasting of a case."""
    return Tasting(
        key='bench',
        title="Bench (invented)",
        invented=True,
        sheet=load_sheet('twenty-point'),
        wines=tuple(Wine(key=f'w{n}', name=f"Wine {n}") for n in range(case.wines)),
        sites=tuple(Site(key=f's{n}', name=f"Site {n}") for n in range(case.sites)),
        plan=case.settings,
        ledger=Path('bench.ledger'),
        source=Path('bench.toml'),
    )


def main() -> int:
    """Measure, print, keep; 1 when a figure misses what it is meant to be."""
    on = machine()
    found = [(case, *planned(case)) for case in CASES]
    print_table(
        f'make_plan from a tasting in memory (seed {SEED}), median of {TIMES}',
        [('machine', describe(on))]
        + [
            (
                case.name,
                said(case, plan, wall),
            )
            for case, plan, wall in found
        ],
    )
    figures = {
        case.name: {
            'pours': len(plan.pours),
            'seconds': round(wall, 3),
            'limit': case.seconds,
            'efficiency': round(plan.balance.efficiency, 5),
        }
        for case, plan, wall in found
    }
    keep('plan', on, figures)
    good = all(
        wall < case.seconds and plan.balance.efficiency >= case.efficiency
        for case, plan, wall in found
    )
    return 0 if good else 1


def said(case: Case, plan: Plan, wall: float) -> str:
    """The figures of a case in a line."""
    return (
        f'{len(plan.pours):,} pours, {wall:.2f} s (meant: under {case.seconds:g} s), '
        f'efficiency {plan.balance.efficiency:.4f} (at least {case.efficiency:g}), '
        f'places within a site at most {spread(plan)} apart'
    )


def planned(case: Case) -> tuple[Plan, float]:
    """The plan of a case, and the median seconds it took."""
    tasting = invented(case)
    plan, walls = seconds_of(lambda: make_plan(tasting, seed=SEED), TIMES)
    return plan, statistics.median(walls)


def spread(plan: Plan) -> int:
    """How far the counts of places lie apart in the least even block of any site."""
    return max(site.position.most - site.position.least for site in plan.balance.sites)


if __name__ == '__main__':
    sys.exit(main())
