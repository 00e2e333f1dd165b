"""Two pictures of one page that do not say the same: a person chooses which one counts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from halfpoint.cli._asking import kept, print_raw, say_field, typed
from halfpoint.errors import LedgerAltered, NotInLedger, UsageError

if TYPE_CHECKING:
    from rich.console import Console

    from halfpoint.cli._crops import Crops
    from halfpoint.collect.table.poured import Poured
    from halfpoint.ledger.another_picture import Difference, OtherPicture
    from halfpoint.ledger.ledger import Ledger
    from halfpoint.ledger.replay import State
    from halfpoint.tasting.model import Tasting

KEEP, TAKE, BESIDE = 'keep', 'take', 'beside'
MOST_DIFFERENCES = 8


@dataclass(frozen=True, slots=True)
class Choosing:
    """What choosing between pictures needs."""

    tasting: Tasting
    ledger: Ledger
    poured: Poured
    who: str
    console: Console
    crops: Crops


def choose_pictures(choosing: Choosing, state: State) -> int:
    """Ask about every picture that waits, until somebody quits; how many were chosen."""
    from halfpoint.ledger.another_picture import other_pictures

    chosen = 0
    for pair in other_pictures(state):
        if pair.page not in state.papers.others:
            continue
        word = _ask(choosing, pair)
        if word == 'quit':
            return chosen
        if word != 'skip':
            chosen += _choose(choosing, state, pair, word)
    return chosen


def say_pair(tasting: Tasting, pair: OtherPicture) -> str:
    """Which page it is, and where the other picture of it is."""
    return f"{pair.file}, page {pair.in_file}: another picture of {_page(tasting, pair)}"


def _ask(choosing: Choosing, pair: OtherPicture) -> str:
    console = choosing.console
    console.print(f"\n{say_pair(choosing.tasting, pair)}")
    for line in _differences(choosing.tasting, pair):
        console.print(f"  {line}")
    for title, digest in (("The one that counts", pair.picture_over), ("The other", pair.picture)):
        picture = kept(choosing.tasting, digest)
        if picture is not None:
            console.print(title)
            print_raw(choosing.crops.show(picture, None, name=f'{title.split()[-1]}.png'))
    beside = " · 2 both, they are two sheets" if pair.seat is None else ""
    console.print(f"Enter keep the one that counts · 1 take the other{beside} · s skip · q quit")
    answers = {'': KEEP, '1': TAKE, 's': 'skip', 'q': 'quit'}
    answers |= {'2': BESIDE} if pair.seat is None else {}
    while True:
        said = typed(console)
        if said is None:
            return 'quit'
        word = answers.get(said.strip().lower())
        if word is not None:
            return word
        console.print("Expected: Enter, or one of the keys above")


def _choose(choosing: Choosing, state: State, pair: OtherPicture, word: str) -> int:
    from halfpoint.ledger.another_picture import prefer, stand_beside

    place = (choosing.ledger, choosing.tasting, choosing.poured)
    try:
        if word == BESIDE:
            came = stand_beside(*place, pair.page, who=choosing.who, state=state)
        else:
            new, old = (pair.page, pair.over) if word == TAKE else (pair.over, pair.page)
            came = prefer(*place, new, instead_of=old, who=choosing.who, state=state)
    except (NotInLedger, UsageError, LedgerAltered) as refusal:
        choosing.console.print(f"{refusal}")
        return 0
    if came.corrected:
        numbers = ", ".join(map(str, came.corrected))
        choosing.console.print(f"Corrected: entry {numbers}")
    return 1


def _differences(tasting: Tasting, pair: OtherPicture) -> Iterator[str]:
    from halfpoint.cli._answers import say_choice

    def said(value: float | str | None, each: Difference) -> str:
        return "in doubt or nothing" if value is None else say_choice(value, each.field)

    for each in pair.differences[:MOST_DIFFERENCES]:
        glass = f"glass {each.place} of the page, " if each.place else ""
        line = say_field(tasting, each.field, each.about)
        yield f"{glass}{line}: {said(each.says, each)}, where {said(each.said, each)} counts"
    if len(pair.differences) > MOST_DIFFERENCES:
        yield f"and {len(pair.differences) - MOST_DIFFERENCES:,} more"


def _page(tasting: Tasting, pair: OtherPicture) -> str:
    site = next((each.name for each in tasting.sites if each.key == pair.site), pair.site)
    seat = f"spare {pair.number}" if pair.seat is None else f"seat {pair.seat}, sheet {pair.sheet}"
    return f"{site}, {seat}"
