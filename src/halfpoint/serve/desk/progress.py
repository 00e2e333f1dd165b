"""How far each site is: what is expected, what has arrived, what is held."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from halfpoint.ledger.replay import State
from halfpoint.serve.seating import Seating
from halfpoint.serve.wire.marks import Shape
from halfpoint.tasting.model import Tasting


class SiteProgress(Shape):
    """One site."""

    key: str
    name: str
    expected: int | None
    """Pours of the plan, seats added by hosts not counted; null while nothing is planned."""
    arrived: int
    """Entries recorded."""
    held: int
    """What waits for somebody to look at it."""
    tasters: int
    """How many tasters something has come from."""
    last: str | None
    """When the last entry came, ISO 8601 UTC; null for none since the server started."""


class Totals(Shape):
    """All sites together."""

    expected: int | None
    arrived: int
    held: int
    tasters: int
    set_aside: int


class Progress(Shape):
    """How far the tasting is."""

    version: int
    """The last record taken into account."""
    state: str
    """before, open, closed or revealed."""
    sites: list[SiteProgress]
    totals: Totals


def progress_of(
    tasting: Tasting,
    state: State,
    *,
    phase: str,
    seating: Seating | None,
    last: Mapping[str, str],
) -> Progress:
    """Count what is there. To be asked within a look; some 15 ms at 24,000 entries."""
    expected = _expected(seating)
    came: Counter[str] = Counter()
    people: dict[str, set[str]] = {}
    for entry in state.entries.values():
        now = entry.now
        site = now.site or ''
        came[site] += 1
        people.setdefault(site, set()).add(now.taster)
    held = Counter(row.original.get('site', '') for row in state.waiting().values())
    held += Counter(page.page.site for page in state.pages_held().values())
    names = {site.key: site.name for site in tasting.sites}
    keys = dict.fromkeys([*expected, *names, *came, *held])
    sites = [
        SiteProgress(
            key=key,
            name=names.get(key, key),
            expected=expected.get(key, 0) if seating else None,
            arrived=came[key],
            held=held[key],
            tasters=len(people.get(key, ())),
            last=last.get(key),
        )
        for key in keys
    ]
    totals = Totals(
        expected=sum(expected.values()) if seating else None,
        arrived=sum(came.values()),
        held=sum(held.values()),
        tasters=len(set().union(*people.values())),
        set_aside=len(state.set_aside()),
    )
    return Progress(version=state.last, state=phase, sites=sites, totals=totals)


def _expected(seating: Seating | None) -> dict[str, int]:
    found: Counter[str] = Counter()
    if seating is not None:
        found.update(pour.site for pour in seating.plan.plan.pours)
    return dict(found)
