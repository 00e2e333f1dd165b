"""From the record to letters as data, for the command and the desk."""

from __future__ import annotations

from collections.abc import Collection

from halfpoint.estimate.result import refuse_lone_taster
from halfpoint.ledger.replay import State
from halfpoint.publish.from_record import marks_of_state
from halfpoint.publish.whole_result import Depth, whole_result
from halfpoint.publish.withheld import withhold
from halfpoint.tasting.model import Tasting
from halfpoint.teach.letters.said import Letter
from halfpoint.teach.letters.write import Kind, Unwritten, check_revealed, compose_letters
from halfpoint.teach.own_past import Before, levels_before, of_record


def letters_of_record(
    tasting: Tasting, state: State, kinds: Collection[Kind], *, least: int, seed: int
) -> tuple[tuple[Letter, ...], Unwritten]:
    """Weigh what the record holds, and compose the letters.

    Categories are weighed for what there is to try next, aromas only where a letter tells of
    them. Where the tasting file names a record over years, letters speak of it.

    Raises:
        NotInLedger: nothing was gathered, or the wines are not revealed yet.
        EstimateError: the marks cannot be weighed.
    """
    check_revealed(tasting, state)
    marks = marks_of_state(tasting, state)
    refuse_lone_taster(marks.frame)
    to_makers = 'maker' in kinds
    found = whole_result(
        marks.frame,
        marks.marks if to_makers or 'taster' in kinds else marks.marks[:1],
        marks.model(seed),
        marks.about(tasting),
        words=marks.words,
        depth=Depth(order=False, aroma=to_makers, least=least),
    )
    past: dict[str, tuple[Before, ...]] = {}
    if tasting.years is not None and tasting.society is not None:
        where = (tasting.years, tasting.society)
        found = of_record(found, tasting, state, *where)
        past = levels_before(tasting, state, *where)
    return compose_letters(
        tasting, state, marks.frame, withhold(found, least), kinds=kinds, least=least, past=past
    )
