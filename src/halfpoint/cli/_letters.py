"""What `letters` does before it writes: from the record to letters as data."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path

from halfpoint.cli._desk_names import with_desk_names
from halfpoint.cli._record import open_record
from halfpoint.estimate.findings import Findings
from halfpoint.estimate.result import refuse_lone_taster
from halfpoint.ledger.replay import replay
from halfpoint.publish.from_record import RecordMarks, marks_of_state
from halfpoint.publish.whole_result import Depth, whole_result
from halfpoint.publish.withheld import withhold
from halfpoint.tasting.load import load_tasting
from halfpoint.tasting.model import Tasting
from halfpoint.teach.letters.said import Letter
from halfpoint.teach.letters.write import Kind, Unwritten, check_revealed, compose_letters


def composed(
    tasting_file: Path, kinds: Collection[Kind], *, least: int, seed: int
) -> tuple[Tasting, tuple[Letter, ...], Unwritten]:
    """Weigh what the record holds, and compose the letters.

    Raises:
        NotInLedger: nothing was gathered, or the wines are not revealed yet.
        EstimateError: the marks cannot be weighed.
    """
    tasting = with_desk_names(load_tasting(tasting_file), tasting_file)
    with open_record(tasting) as record:
        state = replay(record.records())
    check_revealed(tasting, state)
    marks = marks_of_state(tasting, state)
    refuse_lone_taster(marks.frame)
    findings = _weighed(tasting, marks, 'maker' in kinds, least=least, seed=seed)
    letters, unwritten = compose_letters(
        tasting, state, marks.frame, findings, kinds=kinds, least=least
    )
    return tasting, letters, unwritten


def _weighed(
    tasting: Tasting, marks: RecordMarks, to_makers: bool, *, least: int, seed: int
) -> Findings:
    """The result; categories and aromas only where a letter tells of them."""
    from rich.console import Console

    with Console(stderr=True).status("Weighing the marks"):
        found = whole_result(
            marks.frame,
            marks.marks if to_makers else marks.marks[:1],
            marks.model(seed),
            marks.about(tasting),
            words=marks.words,
            depth=Depth(order=False, aroma=to_makers, least=least),
        )
    return withhold(found, least)
