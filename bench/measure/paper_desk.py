"""Pages filled in, taken, read and scored, seed after seed, in two processes."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from io import BytesIO
from pathlib import Path
from typing import TypeVar

import cv2
import numpy as np

from halfpoint.collect.paper.print import Layout, lay_out
from halfpoint.collect.paper.read.expected import PlannedPages
from halfpoint.collect.paper.read.model import HeldPage, Outcome
from halfpoint.collect.paper.read.pool import CRASHED, ONE_THREAD, Failure, Pool
from halfpoint.collect.paper.read.read_page import PageReader
from halfpoint.collect.paper.read.source.grey import grey_picture
from halfpoint.collect.paper.read.source.images import opened_image
from halfpoint.collect.paper.read.source.kinds import kind_of
from halfpoint.demo.paper import Filled, Raster, blanks, draw_writer, fill, simulate
from halfpoint.demo.paper.hostile import hostile
from halfpoint.plan.make import make_plan
from halfpoint.tasting.load import load_tasting
from halfpoint.tasting.model import Tasting
from measure.paper_mix import style_of
from measure.paper_room import FILE
from measure.paper_score import PageScore, score_page

PROCESSES = 2
SECONDS_A_TASK = 300.0
# Pages that are filled in again and again: of seats, and spares.
SEATS, SPARES = 40, 2
TWO_SHEETS = 'two sheets'
Task = TypeVar('Task')
Result = TypeVar('Result')


@dataclass(frozen=True)
class Desk:
    """A reader, and printed pages to fill in."""

    tasting: Tasting
    layout: Layout
    blanks: Sequence[Raster]
    reader: PageReader

    def scored(self, seed: int) -> PageScore:
        """The page of a seed, in the style of its seed."""
        style = style_of(seed)
        sheet = self.tasting.sheet
        filled, taken = simulate(seed, self.layout, self.blanks, sheet, style)
        return score_page(seed, style, filled, self.outcome(taken.encoded), sheet)

    def hostile(self, seed: int, kind: str) -> PageScore:
        """The hostile page of a seed; its style is its kind."""
        sheet = self.tasting.sheet
        filled, taken = hostile(seed, self.layout, self.blanks, sheet, kind)
        outcome = self.outcome(taken.encoded)
        score = score_page(seed, kind, filled, outcome, sheet)
        if kind == TWO_SHEETS and score.wrong_identity:
            # Read as the other sheet in the picture: not wrong, but it was to be held.
            score = score_page(seed, kind, self._other(seed), outcome, sheet)
        return score

    def _other(self, seed: int) -> Filled:
        """The second sheet of a hostile picture, drawn as `halfpoint.demo.paper.hostile` does."""
        rng = np.random.default_rng([seed, 1])
        chosen = rng.choice(len(self.blanks), 2, replace=False)
        sheet = self.tasting.sheet
        return [
            fill(rng, self.layout, self.blanks[number], sheet, draw_writer(rng))
            for number in chosen
        ][1]

    def outcome(self, encoded: bytes) -> Outcome:
        """The reading of a file, by the way that files of people go; a crash holds the page."""
        kind = kind_of(encoded[:1024])
        if kind is None:
            raise ValueError('not a picture')
        try:
            with opened_image(BytesIO(encoded), kind) as image:
                picture = grey_picture(image)
            return picture if isinstance(picture, HeldPage) else self.reader.read(picture)
        except Exception as reason:
            return HeldPage(CRASHED, f'{type(reason).__name__}: {reason}', '', '')


def desk_in(folder: Path, wines_a_page: int) -> Desk:
    """The desk of the tasting in a folder."""
    tasting = load_tasting(folder / FILE)
    plan = make_plan(tasting, seed=1)
    layout = lay_out(tasting.sheet, wines_a_page)
    pages = blanks(tasting, plan, layout, count=SEATS, spares=SPARES)
    return Desk(tasting, layout, pages, PageReader(PlannedPages(tasting, plan), tasting))


def scored_pages(folder: Path, wines_a_page: int, seeds: Sequence[int]) -> Iterator[PageScore]:
    """The score of each seed, in the order of the seeds."""
    make = partial(_scorer, folder, wines_a_page)
    for seed, score in in_processes(make, seeds):
        yield score if isinstance(score, PageScore) else _failed(seed, style_of(seed), score)


def hostile_pages(
    folder: Path, wines_a_page: int, tasks: Sequence[tuple[int, str]]
) -> Iterator[PageScore]:
    """The score of each hostile page, a seed and a kind each."""
    make = partial(_hostile_scorer, folder, wines_a_page)
    for task, score in in_processes(make, tasks):
        yield score if isinstance(score, PageScore) else _failed(*task, score)


def in_processes(
    make: Callable[[], Callable[[Task], Result]], tasks: Iterable[Task]
) -> Iterator[tuple[Task, Result | Failure]]:
    """Results in the order of the tasks; what kills a process costs no more than its task."""
    # Before the processes start: what they import looks at these once.
    os.environ.update(ONE_THREAD)
    with Pool(make, workers=PROCESSES, seconds=SECONDS_A_TASK) as pool:
        yield from pool.results(tasks)


def _scorer(folder: Path, wines_a_page: int) -> Callable[[int], PageScore]:
    cv2.setNumThreads(1)
    return desk_in(folder, wines_a_page).scored


def _hostile_scorer(folder: Path, wines_a_page: int) -> Callable[[tuple[int, str]], PageScore]:
    cv2.setNumThreads(1)
    desk = desk_in(folder, wines_a_page)
    return lambda task: desk.hostile(*task)


def _failed(seed: int, style: str, failure: Failure) -> PageScore:
    return PageScore(seed, style, held=failure.reason, said=failure.said)
