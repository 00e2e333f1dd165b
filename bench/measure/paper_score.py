"""A page as read against what its writer meant. The rules stand in `bench/paper.py`."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

from halfpoint.collect.paper.read.model import (
    BAND,
    CODE,
    FAMILY,
    FAULT,
    SEAT,
    TERM,
    TOTAL,
    HeldPage,
    Look,
    PageReading,
    PourReading,
)
from halfpoint.demo.paper import BlockTruth, BoxTruth, Filled, RowTruth
from halfpoint.sheet.form import Sheet

BOXES = (TERM, FAMILY, FAULT, BAND)
_ALIKE = 1e-9
# No confidence is told apart from certainty beyond so many nines.
_MOST_NINES = 9.0


@dataclass(slots=True)
class Tally:
    """Marks or boxes of a page, or of many: all, accepted and so on. `sent`: to a person."""

    accepted: int = 0
    wrong: int = 0
    clean: int = 0
    clean_sent: int = 0

    def count(self, *, accepted: bool, wrong: bool, clean: bool) -> None:
        """One more."""
        self.accepted += accepted
        self.wrong += wrong
        self.clean += clean
        self.clean_sent += clean and not accepted

    def add(self, other: Tally) -> None:
        """All of another tally too."""
        self.accepted += other.accepted
        self.wrong += other.wrong
        self.clean += other.clean
        self.clean_sent += other.clean_sent


@dataclass(frozen=True, slots=True)
class Wrong:
    """Something accepted that is not what was meant; `kind` is how it was written."""

    place: int
    field: str
    about: str
    read: float | None
    truth: float | None
    kind: str


@dataclass(slots=True)
class PageScore:
    """What became of one page.

    `held` is the word of the refusal, '' where it was read. `looks` counts `rows`, `boxes`,
    `totals` and `written` (codes and seats of spares, which nobody but a person reads);
    `true_totals` are looks at a total that really is another number than the sum.
    `confidences`: by the nines of the confidence said (2.00 is 0.99), accepted and right marks.
    """

    seed: int
    style: str
    held: str = ''
    wrong_identity: bool = False
    marks: Tally = field(default_factory=Tally)
    boxes: Tally = field(default_factory=Tally)
    looks: dict[str, int] = field(default_factory=dict)
    true_totals: int = 0
    confidences: dict[str, tuple[int, int]] = field(default_factory=dict)
    wrongs: list[Wrong] = field(default_factory=list)
    said: str = ''


def score_page(
    seed: int, style: str, filled: Filled, outcome: PageReading | HeldPage, sheet: Sheet
) -> PageScore:
    """Count what was accepted, what of it is wrong, and what of the clean went to a person."""
    score = PageScore(seed, style)
    if isinstance(outcome, HeldPage):
        score.held, score.said = outcome.reason, outcome.found
        _all_sent(score, filled)
    elif _is_another(filled, outcome):
        # Its marks are those of somebody else, so that they prove nothing.
        score.wrong_identity = True
        _all_sent(score, filled)
    else:
        for block, pour in zip(filled.blocks, outcome.pours, strict=True):
            _score_pour(score, block, pour, sheet)
        score.looks = dict(_looks(outcome))
    return score


def _is_another(filled: Filled, reading: PageReading) -> bool:
    page = filled.page
    codes = [glass.code for glass in page.glasses]
    return reading.payload != page.identity.payload or codes != [p.code for p in reading.pours]


def _all_sent(score: PageScore, filled: Filled) -> None:
    for block in filled.blocks:
        for row in block.rows:
            score.marks.count(accepted=False, wrong=False, clean=row.clean)
        for box in block.boxes:
            score.boxes.count(accepted=False, wrong=False, clean=box.clean)


def _score_pour(score: PageScore, block: BlockTruth, pour: PourReading, sheet: Sheet) -> None:
    if block.place != pour.place:
        raise ValueError(f'block {block.place} beside the reading of block {pour.place}')
    for row in block.rows:
        _score_mark(score, block, row, pour)
    for box in block.boxes:
        _score_box(score, block, box, pour)
    if any(look.field == TOTAL for look in pour.looks):
        score.true_totals += _adds_up_wrongly(block, sheet)


def _score_mark(score: PageScore, block: BlockTruth, row: RowTruth, pour: PourReading) -> None:
    value = pour.marks[row.category]
    looked_at = any(look.field == row.category for look in pour.looks)
    accepted = not looked_at and (value is not None or pour.is_empty)
    wrong = accepted and (row.kind == 'double' or not _alike(value, row.value))
    score.marks.count(accepted=accepted, wrong=wrong, clean=row.clean)
    if accepted and value is not None:
        nines = _nines(pour.confidence[row.category])
        accepted_so_far, right = score.confidences.get(nines, (0, 0))
        score.confidences[nines] = (accepted_so_far + 1, right + (not wrong))
    if wrong:
        score.wrongs.append(Wrong(block.place, row.category, '', value, row.value, row.kind))


def _score_box(score: PageScore, block: BlockTruth, box: BoxTruth, pour: PourReading) -> None:
    ticked = box.key in _ticked(pour, box.kind)
    accepted = not any(look.field == box.kind and look.about == box.key for look in pour.looks)
    wrong = accepted and ticked != box.ticked
    score.boxes.count(accepted=accepted, wrong=wrong, clean=box.clean)
    if wrong:
        how = box.how or 'nothing drawn'
        score.wrongs.append(
            Wrong(block.place, box.kind, box.key, float(ticked), float(box.ticked), how)
        )


def _ticked(pour: PourReading, kind: str) -> tuple[str, ...]:
    if pour.is_empty:
        return ()
    return {
        TERM: pour.terms,
        FAMILY: pour.families,
        FAULT: pour.faults,
        BAND: (pour.finish_band,) if pour.finish_band else (),
    }[kind]


def _alike(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is other
    return abs(one - other) < _ALIKE


def _nines(confidence: float) -> str:
    """How many nines a confidence has, to two places: text, since it is a key in JSON."""
    left = max(1.0 - confidence, 10**-_MOST_NINES)
    return f'{-math.log10(left):.2f}'


def _adds_up_wrongly(block: BlockTruth, sheet: Sheet) -> bool:
    marked = [row for row in block.rows if row.value is not None]
    total = sum(sheet.category(row.category).weight * (row.value or 0) for row in marked)
    text = block.total.replace('½', '.5').replace(',', '.')
    return bool(text) and not _alike(float(text), total)


def _looks(reading: PageReading) -> Counter[str]:
    """How many looks of which kind a page asks for."""
    return Counter(_kind(look) for look in _all_looks(reading))


def _all_looks(reading: PageReading) -> Iterator[Look]:
    yield from reading.looks
    for pour in reading.pours:
        yield from pour.looks


def _kind(look: Look) -> str:
    if look.field in BOXES:
        return 'boxes'
    return {TOTAL: 'totals', CODE: 'written', SEAT: 'written'}.get(look.field, 'rows')
