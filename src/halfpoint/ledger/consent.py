"""Who agreed to a letter: the tasting file says, until the taster or the desk says otherwise."""

from __future__ import annotations

from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.records import Consented
from halfpoint.ledger.replay import State, replay
from halfpoint.tasting.model import Taster, Tasting


def wants_letter(tasting: Tasting, state: State, taster: str) -> bool:
    """Whether a taster agreed; nobody did without having been asked."""
    if taster in state.letters:
        return state.letters[taster]
    return any(one.letter for one in tasting.tasters if one.key == taster)


def who_want_letters(tasting: Tasting, state: State) -> tuple[Taster, ...]:
    """The tasters who agreed, those whom the file does not list after those whom it does."""
    listed = {taster.key: taster for taster in tasting.tasters}
    asked = (Taster(key=key) for key in state.letters if key not in listed)
    return tuple(
        taster
        for taster in (*listed.values(), *asked)
        if state.letters.get(taster.key, taster.letter)
    )


def record_letter(
    ledger: Ledger, state: State, tasting: Tasting, taster: str, *, wanted: bool, who: str
) -> None:
    """Record what a taster agreed to, unless it is so already; by the pen."""
    if wants_letter(tasting, state, taster) == wanted:
        return
    ledger.append([Consented(taster, wanted)], who=who)
    replay(ledger.records(after=state.last), state)
