"""The practice set of a tasting: made once for each state of the record, whoever asks."""

from __future__ import annotations

import asyncio
import json
from dataclasses import dataclass, field

from halfpoint.publish.export import to_json
from halfpoint.serve.desk.desk import Desk
from halfpoint.serve.desk.published import published
from halfpoint.serve.desk.results import Ready
from halfpoint.serve.problems import Refused
from halfpoint.serve.served import Served
from halfpoint.sheet.form import Sheet
from halfpoint.teach.practice_set import PracticeSet, set_out
from halfpoint.teach.reference import reference_of


@dataclass(slots=True)
class PracticeSets:
    """Keeps the set of the newest result."""

    _kept: tuple[int, str] | None = None
    _turn: asyncio.Lock = field(default_factory=asyncio.Lock)

    async def now(self, served: Served, desk: Desk) -> str:
        """The set as JSON, of all that is recorded now; it names the wines.

        Raises:
            Refused: 403, the wines are not revealed yet.
            NotInLedger, EstimateError, InputError: there is nothing to compare with.
        """
        if await served.writer.read(lambda state: state.revealed) is None:
            raise Refused(
                403,
                'not-revealed',
                "the wines are not revealed yet, and a practice set names them",
                expected="the organiser's reveal",
                remedy="ask again when the organiser has told the wines",
            )
        async with self._turn:
            if self._kept is None or self._kept[0] != served.writer.version:
                ready = await desk.results.newest(served)
                text = await asyncio.to_thread(_as_set, ready, served.tasting.sheet)
                self._kept = ready.version, text
            return self._kept[1]

    async def stop(self) -> None:
        """Let go of it."""
        self._kept = None


def _as_set(ready: Ready, sheet: Sheet) -> str:
    reference = reference_of(json.loads(to_json(published(ready))), sheet, "the result")
    return json.dumps(set_out(PracticeSet(sheet, reference)), ensure_ascii=False, allow_nan=False)
