"""What is worked out in a process of its own: results, and what setting aside would change.

The pen and the answers to tasters never wait for it.
"""

from __future__ import annotations

import math
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace

from halfpoint.estimate.findings import Findings, MarkFindings, WineFinding
from halfpoint.estimate.result import About, find_result, refuse_lone_taster, weigh_all
from halfpoint.ledger.records import Target
from halfpoint.ledger.replay import Standing, State
from halfpoint.publish.export import write_fields
from halfpoint.publish.export.entries import entries_csv
from halfpoint.publish.from_record import RecordMarks
from halfpoint.publish.whole_result import whole_result
from halfpoint.serve.desk.known import Known, known_now
from halfpoint.tasting.model import Tasting

# What is written once for many answers: all that asks for more than the scores.
IN_DOCUMENT = ('suspects', 'scale', 'panel', 'tasters', 'aroma')


@dataclass(frozen=True, slots=True)
class Weighed:
    """A result, the last record it has taken into account, and the seconds it took.

    `written` has the parts of its document beside the scores, where it has them. They are written
    where it is worked out, as that would keep answers waiting.
    """

    version: int
    findings: Findings
    seconds: float
    written: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Place:
    """Where a wine stands: score with interval, rank with its range, and how many marks."""

    wine: str
    marks: int
    score: float | None
    low: float | None
    high: float | None
    rank: int | None
    rank_low: int | None
    rank_high: int | None


@dataclass(frozen=True, slots=True)
class Preview:
    """Scores and ranks as they are, and as they would be."""

    version: int
    entries: int
    before: tuple[Place, ...]
    after: tuple[Place, ...]


def weigh_record(tasting: Tasting, *, whole: bool) -> Weighed:
    """The result of the record as it is now: everything, or what a new sheet should show at once.

    That is the main estimate of every kind of mark, without its variance components, begun from
    where the last one ended.

    Raises:
        NotInLedger: no entry counts yet.
        EstimateError and its kinds: the marks cannot be weighed yet.
    """
    began = time.perf_counter()
    with known_now(tasting) as known:
        version, found = known.state.last, known.marks(tasting)
        refuse_lone_taster(found.frame)
        about = replace(found.about(tasting), source=tasting.source.name)
        findings = _everything(found, about) if whole else _scores(found, about, known)
    written = write_fields(findings, IN_DOCUMENT) if whole else {}
    return Weighed(version, findings, time.perf_counter() - began, written)


def _everything(found: RecordMarks, about: About) -> Findings:
    return whole_result(found.frame, found.marks, found.model(), about, words=found.words)


def _scores(found: RecordMarks, about: About, known: Known) -> Findings:
    model = replace(found.model(), components=False)
    weighed = weigh_all(found.frame, found.marks, model, about, last=known.fits)
    known.fits = {fit.column: fit.reml for fit in weighed.fits if fit is not None}
    return weighed.findings


def preview(tasting: Tasting, targets: Sequence[Target], *, restored: bool = False) -> Preview:
    """Scores and ranks before and after setting these aside, or restoring them; nothing is kept.

    Raises:
        NotInLedger: no entry would be left.
        EstimateError and its kinds: what is left cannot be weighed.
    """
    with known_now(tasting) as known:
        version, now = known.state.last, known.marks(tasting)
        with _as_if(known.state, targets, restored=restored):
            then = known.marks(tasting)
    return Preview(
        version,
        abs(now.frame.height - then.frame.height),
        _places(_total(now, tasting)),
        _places(_total(then, tasting)),
    )


def _total(found: RecordMarks, tasting: Tasting) -> MarkFindings:
    refuse_lone_taster(found.frame)
    model = replace(found.model(), components=False)
    return find_result(found.frame, found.marks[:1], model, found.about(tasting)).total


@contextmanager
def _as_if(state: State, targets: Sequence[Target], *, restored: bool) -> Iterator[None]:
    before = {target: state.standing.get(target) for target in targets}
    for number, target in enumerate(targets):
        standing = Standing(state.last + 1 + number, '', '', target, '')
        state.standing[target] = [] if restored else [*(before[target] or ()), standing]
    try:
        yield
    finally:
        for target, standings in before.items():
            if standings is None:
                del state.standing[target]
            else:
                state.standing[target] = standings


def _places(marks: MarkFindings) -> tuple[Place, ...]:
    """Wines from the highest score down; those without one come last, without a rank."""
    scored = sorted((w.adjusted for w in marks.wines if w.adjusted is not None), reverse=True)
    ordered = sorted(marks.wines, key=lambda wine: -_score(wine))
    return tuple(
        Place(
            wine=w.wine,
            marks=w.marks,
            score=w.adjusted,
            low=w.low,
            high=w.high,
            rank=None if w.adjusted is None else scored.index(w.adjusted) + 1,
            rank_low=w.rank_low,
            rank_high=w.rank_high,
        )
        for w in ordered
    )


def _score(wine: WineFinding) -> float:
    return -math.inf if wine.adjusted is None else wine.adjusted


def entries_as_csv(tasting: Tasting, *, pseudonyms: bool) -> str:
    """The entries that count, as `entries_csv` writes them."""
    with known_now(tasting) as known:
        return entries_csv(tasting, known.state, pseudonyms=pseudonyms)
