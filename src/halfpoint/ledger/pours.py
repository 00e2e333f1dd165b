"""Telling whether two entries are about the same pour, and whether they say the same."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from halfpoint.ledger.records import EntryRecorded
from halfpoint.sheet.entry import Entry


@dataclass(slots=True)
class EntryState:
    """An entry and what became of it. `versions` runs from as received to as it stands now."""

    number: int
    recorded: EntryRecorded
    versions: list[Entry]

    @property
    def now(self) -> Entry:
        """The entry as it stands, corrections applied."""
        return self.versions[-1]


class Pours:
    """The entries there are, found by the pour they are about."""

    def __init__(self) -> None:
        self._numbers: dict[tuple[str, str], dict[int, EntryState]] = defaultdict(dict)

    def add(self, entry: EntryState) -> None:
        """Take one more entry into account, under all that it ever said."""
        for version in entry.versions:
            self._numbers[version.taster, version.wine][entry.number] = entry

    def saying_the_same(self, entry: Entry) -> EntryState | None:
        """The entry that says, or once said, exactly this about this pour."""
        for state in self._near(entry):
            if any(same_pour(v, entry) and same_words(v, entry) for v in state.versions):
                return state
        return None

    def about_the_same(self, entry: Entry, but: int | None = None) -> EntryState | None:
        """The entry, other than number `but`, that now stands for this pour."""
        for state in self._near(entry):
            if state.number != but and same_pour(state.now, entry):
                return state
        return None

    def of(self, taster: str, wine: str) -> list[EntryState]:
        """The entries that now are this taster's of this wine, in the order they came."""
        near = self._numbers.get((taster, wine), {}).values()
        return [entry for entry in near if (entry.now.taster, entry.now.wine) == (taster, wine)]

    def _near(self, entry: Entry) -> Iterator[EntryState]:
        return iter(self._numbers.get((entry.taster, entry.wine), {}).values())


def same_pour(one: Entry, other: Entry) -> bool:
    """Whether two entries can be about one pour.

    The same taster and wine; the site when both name one; then the blind code when both have
    one, else the pour and the position. What is not written down tells nothing apart.
    """
    if (one.taster, one.wine) != (other.taster, other.wine) or _differ(one.site, other.site):
        return False
    if one.code and other.code:
        return one.code == other.code
    return not (_differ(one.pour, other.pour) or _differ(one.position, other.position))


def same_words(one: Entry, other: Entry) -> bool:
    """Whether two entries say the same: marks, ticks, finish, own words and remark."""
    return (
        one.marks == other.marks
        and set(one.terms) == set(other.terms)
        and set(one.faults) == set(other.faults)
        and set(one.families) == set(other.families)
        and one.finish_band == other.finish_band
        and one.finish_seconds == other.finish_seconds
        and one.remark == other.remark
        and set(one.own_words) == set(other.own_words)
    )


def _differ(one: object, other: object) -> bool:
    return one is not None and other is not None and one != other
