"""The list of what needs a look, kept up with the record step by step."""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import islice

from halfpoint.ledger.paper import PageState
from halfpoint.ledger.replay import State
from halfpoint.serve.desk.looks import (
    KINDS,
    Kind,
    LookItem,
    held_item,
    held_page_items,
    hint_items,
    other_picture_items,
    page_items,
)
from halfpoint.serve.served import Served
from halfpoint.tasting.model import Tasting

# Entries looked over at a time, so that the pen is never kept for long.
AT_A_TIME = 400
Token = tuple[object, ...]


@dataclass(frozen=True)
class Looks:
    """What needs a look after this record, in the order in which it is shown."""

    version: int
    items: tuple[LookItem, ...] = ()
    places: tuple[tuple[int, int], ...] = ()

    @property
    def counts(self) -> dict[Kind, int]:
        """How many there are of each kind."""
        found = Counter(item.kind for item in self.items)
        return {kind: found[kind] for kind in KINDS}

    def after(
        self, place: tuple[int, int] | None, kind: str | None, most: int
    ) -> tuple[LookItem, ...]:
        """The next items after a place in the list, of one kind or of all."""
        start = 0 if place is None else bisect_right(self.places, place)
        rest = islice(self.items, start, None)
        return tuple(islice((each for each in rest if kind in (None, each.kind)), most))


@dataclass
class LooksIndex:
    """Follows one record; only what has changed is looked at again."""

    now: Looks = field(default_factory=lambda: Looks(0))
    _tasting: Tasting | None = None
    _versions: dict[int, int] = field(default_factory=dict)
    _left: set[tuple[int, str, str]] = field(default_factory=set)
    _hints: dict[int, tuple[LookItem, ...]] = field(default_factory=dict)
    _pages: dict[int, tuple[Token, tuple[LookItem, ...]]] = field(default_factory=dict)
    _serial: dict[str, tuple[int, int]] = field(default_factory=dict)
    _by_id: Mapping[str, LookItem] = field(default_factory=dict)

    async def catch_up(self, served: Served) -> Looks:
        """What needs a look now."""
        tasting = served.tasting
        while not await served.writer.read(lambda state: self.step(tasting, state)):
            pass
        return self.now

    def step(self, tasting: Tasting, state: State) -> bool:
        """Look over some of what has changed; True when the list is up to the record."""
        if tasting is not self._tasting or state.last < self.now.version:
            self._forget(tasting)
        if state.last == self.now.version and self.now.version:
            return True
        if not self._look_over(tasting, state):
            return False
        self._list(tasting, state)
        return True

    def item(self, key: str) -> LookItem | None:
        """The item with this id; None when it waits no longer."""
        return self._by_id.get(key)

    def place_of(self, key: str) -> tuple[int, int] | None:
        """Where an item stands or stood in the list; None when there never was one."""
        return self._serial.get(key)

    def _forget(self, tasting: Tasting) -> None:
        self._tasting, self.now = tasting, Looks(0)
        for known in (self._versions, self._hints, self._pages):
            known.clear()
        self._left.clear()

    def _look_over(self, tasting: Tasting, state: State) -> bool:
        if len(state.left) != len(self._left):
            for number, _, _ in state.left ^ self._left:
                self._versions.pop(number, None)
            self._left = set(state.left)
        changed = list(islice(self._changed(state), AT_A_TIME))
        for number in changed:
            self._versions[number] = len(state.entries[number].versions)
            found = tuple(hint_items(tasting, state, number))
            if found:
                self._hints[number] = found
            else:
                self._hints.pop(number, None)
        return len(changed) < AT_A_TIME

    def _changed(self, state: State) -> Iterator[int]:
        known = self._versions
        return (n for n, entry in state.entries.items() if known.get(n) != len(entry.versions))

    def _list(self, tasting: Tasting, state: State) -> None:
        by_kind: dict[str, list[LookItem]] = {kind: [] for kind in KINDS}
        for item in self._all(tasting, state):
            by_kind[item.kind].append(item)
        placed = []
        for order, items in enumerate(by_kind.values()):
            for item in items:
                place = self._serial.setdefault(item.id, (order, len(self._serial)))
                placed.append((place, item))
        placed.sort(key=lambda each: each[0])
        self._by_id = {item.id: item for _, item in placed}
        listed = tuple(item for _, item in placed)
        self.now = Looks(state.last, listed, tuple(place for place, _ in placed))

    def _all(self, tasting: Tasting, state: State) -> Iterator[LookItem]:
        for number, row in state.waiting().items():
            yield held_item(tasting, state, number, row)
        for page in state.papers.pages.values():
            yield from self._page(tasting, page)
        yield from other_picture_items(tasting, state)
        yield from held_page_items(state)
        covering = state.cover()
        for number, items in sorted(self._hints.items()):
            if covering(state.entries[number]) is None:
                yield from items

    def _page(self, tasting: Tasting, page: PageState) -> Sequence[LookItem]:
        token = (page.stands, sum(map(len, page.decided.values())), len(page.entries))
        known = self._pages.get(page.number)
        if known is None or known[0] != token:
            known = self._pages[page.number] = token, tuple(page_items(tasting, page))
        return known[1]
