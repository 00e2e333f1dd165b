"""Teach the reader of score sheets how likely a mark or a tick is not what was meant.

    python tools/train_marks.py --pages 4000 [--only lines]

Pages are simulated (`halfpoint.demo.paper`) with seeds from 9,000,000, which nothing else uses,
with many more corrections, doubled and withdrawn marks and ticks, light pencils and rings than in
life.  Two lessons are taught, each to boosted trees of its own: of lines that would be taken but
for the weighing, whether the mark is wrong; of all boxes, whether they are ticked.  What is rare in
life weighs little in both, so that the trees spend their care where it is worth most.  What they
say on pages that they were not shown is turned into a chance by logistic regression in which each
line and box weighs as much as its kind is frequent in life.  Writes `line_trees.npz` and
`box_trees.npz` in `src/halfpoint/collect/paper/read/ink/`.
"""

from __future__ import annotations

import argparse
import os
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, fields
from multiprocessing import get_context
from pathlib import Path
from typing import Any

os.environ['OPENBLAS_NUM_THREADS'] = '1'

import cv2
import numpy as np
from numpy.typing import NDArray
from sklearn.ensemble import HistGradientBoostingClassifier
from sklearn.linear_model import LogisticRegression
from sklearn.model_selection import GroupKFold

from halfpoint.collect.paper.read.expected import PlannedPages
from halfpoint.collect.paper.read.ink.marking import Marking
from halfpoint.collect.paper.read.ink.targets import targets_of
from halfpoint.collect.paper.read.model import HeldPage
from halfpoint.collect.paper.read.read_page import PageReader
from halfpoint.collect.paper.read.source import Picture
from halfpoint.demo.paper import DAMAGED, GOOD, Filled, Raster, blanks, rates, simulate
from halfpoint.demo.write import write_demo
from halfpoint.plan.make import make_plan
from halfpoint.tasting.load import load_tasting

FIRST_SEED = 9_000_000
WINES = 4
# How often each kind of line is drawn for the lesson, instead of as in life.
BOOSTED = {
    'corrected': 0.08, 'erased': 0.03, 'double': 0.035, 'blank': 0.05, 'between': 0.015,
    'started': 0.03, 'heavier': 0.015, 'other style': 0.03, 'withdrawn': 0.12, 'written': 0.015,
    'restored': 0.015, 'with number': 0.015,
}  # fmt: skip
# And of writers and boxes: pens that leave little, rings, and what is withdrawn.
PENS = {**rates.PENS, 'soft pencil': 0.2, 'hard pencil': 0.18}
MARKS = {**rates.MARKS, 'ring': 0.09}
BOX_WITHDRAWN, RINGS_WORDS = 0.06, 0.06
STYLES = (*GOOD * 4, *DAMAGED)
# So many pages come home stained, folded, crumpled or badly lit in life.
DAMAGED_PAGES = 0.2
TREES = 220
# Depth and most leaves of trees, for lines and for boxes.
SIZES = {'line': (4, 16), 'box': (5, 31)}
RATE, LEAF, RIDGE, FOLDS = 0.075, 20, 2.0, 4
# Wrong lines weigh so many times their frequency in life, boxes as much as it, within bounds.
WRONG_LINES, BOUNDS = 60.0, (0.3, 8.0)
ONLY = {'lines': 'line', 'boxes': 'box'}
FOLDER = Path(__file__).parents[1] / 'src/halfpoint/collect/paper/read/ink'
Array = NDArray[np.float64]
Told = tuple[float, bool, Array]
_here: dict[str, Any] = {}
_life = {
    'event': dict(rates.ROW_EVENTS),
    'pen': dict(rates.PENS),
    'mark': dict(rates.MARKS),
    'box': {'withdrawn': rates.BOX_WITHDRAWN, 'ringed': rates.RINGS_WORDS},
}
_lesson = {
    'event': BOOSTED,
    'pen': PENS,
    'mark': MARKS,
    'box': {'withdrawn': BOX_WITHDRAWN, 'ringed': RINGS_WORDS},
}


@dataclass(frozen=True)
class Lesson:
    """Traits (n, traits), the truth to be told, frequency in life and page; (n,) each."""

    traits: Array
    truth: NDArray[np.bool_]
    life: Array
    page: NDArray[np.int_]


def told_by(number: int) -> tuple[list[Told], list[Told]]:
    """The lines and boxes of one page: frequency in life, the truth, traits."""
    if not _here:
        _set_up()
    style = STYLES[number % len(STYLES)]
    filled, taken = simulate(
        FIRST_SEED + number, _here['layout'], _here['blanks'], _here['tasting'].sheet,
        style,
    )  # fmt: skip
    _here['seen'].clear()
    if isinstance(_here['reader'].read(Picture(taken.image, bilevel=False)), HeldPage):
        return [], []
    marking: Marking = _here['seen'][-1]
    writer = _share('pen', filled.writer.pen.kind) * _share('mark', filled.writer.mark)
    lines = _lines(filled, marking, writer * _style_share(style))
    return list(lines), list(_boxes(filled, marking, writer))


def _share(about: str, kind: str) -> float:
    """How frequent something is in life, against how often it is drawn for the lesson."""
    return _life[about].get(kind, 1.0) / _lesson[about].get(kind, 1.0)


def _style_share(style: str) -> float:
    """How frequent pages of this condition are in life, against how many the lesson has."""
    damaged = len(DAMAGED) / len(STYLES)
    return DAMAGED_PAGES / damaged if style in DAMAGED else (1 - DAMAGED_PAGES) / (1 - damaged)


def _lines(filled: Filled, marking: Marking, writer: float) -> Iterator[Told]:
    truth = {(block.place, row.category): row for block in filled.blocks for row in block.rows}
    for each, weighed, traits in zip(
        marking.evidence, marking.weighed, marking.traits, strict=True
    ):
        row = truth[each.run.place, each.run.row.category]
        if weighed:
            wrong = row.value is None or row.value != each.run.adds[each.top]
            yield writer * _share('event', row.kind), wrong, traits


def _boxes(filled: Filled, marking: Marking, writer: float) -> Iterator[Told]:
    truth = {(b.place, box.kind, box.key): box for b in filled.blocks for box in b.boxes}
    targets = targets_of(_here['layout'], len(filled.blocks))
    for (place, box), traits in zip(targets.boxes, marking.box_traits, strict=True):
        meant = truth[place, box.kind, box.key]
        yield writer * _share('box', meant.how), meant.ticked, traits


def _set_up() -> None:
    cv2.setNumThreads(1)
    rates.ROW_EVENTS.update(BOOSTED)
    rates.PENS.update(PENS)
    rates.MARKS.update(MARKS)
    rates.BOX_WITHDRAWN, rates.RINGS_WORDS = BOX_WITHDRAWN, RINGS_WORDS
    with tempfile.TemporaryDirectory() as name:
        write_demo(Path(name) / 'demo', seed=1)
        tasting = load_tasting(Path(name) / 'demo' / 'tasting.toml')
    plan = make_plan(tasting)
    planned = PlannedPages(tasting, plan)
    made = planned.layout(WINES)
    if made is None:
        raise SystemExit('the demo sheet does not fit on paper')
    pages: tuple[Raster, ...] = blanks(tasting, plan, made[0], count=24)
    seen: list[Marking] = []
    reader = PageReader(planned, tasting, watch=seen.append)
    _here.update(tasting=tasting, layout=made[0], blanks=pages, reader=reader, seen=seen)


def gathered(pages: int, workers: int) -> dict[str, Lesson]:
    """The lessons of so many pages."""
    lines: list[tuple[int, Told]] = []
    boxes: list[tuple[int, Told]] = []
    with get_context('spawn').Pool(workers) as pool:
        for page, (some, others) in enumerate(pool.imap(told_by, range(pages), chunksize=8)):
            lines += [(page, told) for told in some]
            boxes += [(page, told) for told in others]
            if (page + 1) % 250 == 0:
                print(f'{page + 1} pages, {len(lines)} lines, {len(boxes)} boxes', flush=True)
    return {'line': _lesson_of(lines), 'box': _lesson_of(boxes)}


def _lesson_of(found: list[tuple[int, Told]]) -> Lesson:
    return Lesson(
        traits=np.array([traits for _, (_, _, traits) in found], np.float32),
        truth=np.array([truth for _, (_, truth, _) in found], bool),
        life=np.array([life for _, (life, _, _) in found]),
        page=np.array([page for page, _ in found]),
    )


def _trees(about: str) -> HistGradientBoostingClassifier:
    depth, leaves = SIZES[about]
    return HistGradientBoostingClassifier(
        max_iter=TREES, max_depth=depth, max_leaf_nodes=leaves, learning_rate=RATE,
        min_samples_leaf=LEAF, l2_regularization=RIDGE, early_stopping=False, random_state=1,
    )  # fmt: skip


def weights(about: str, lesson: Lesson) -> Array:
    """How much each line or box counts while the trees are taught."""
    if about == 'box':
        return np.clip(lesson.life, *BOUNDS)
    return np.where(lesson.truth, np.clip(WRONG_LINES * lesson.life, *BOUNDS), 1.0)


def unseen_scores(about: str, lesson: Lesson) -> Array:
    """What trees say of pages that they were not shown, by turns."""
    scores = np.zeros(len(lesson.truth))
    weight = weights(about, lesson)
    turns = GroupKFold(FOLDS).split(lesson.traits, lesson.truth, lesson.page)
    for shown, kept in turns:
        model = _trees(about).fit(
            lesson.traits[shown], lesson.truth[shown], sample_weight=weight[shown]
        )
        scores[kept] = model.decision_function(lesson.traits[kept])
    return scores


def teach(about: str, lesson: Lesson) -> None:
    """Teach, turn scores into chances, write the trees, and say what was reached."""
    scores = unseen_scores(about, lesson)
    chance = LogisticRegression(C=1e6).fit(scores[:, None], lesson.truth, sample_weight=lesson.life)
    level, slope = float(chance.intercept_[0]), float(chance.coef_[0, 0])
    print(f'{len(scores)} of {about}, {lesson.truth.sum()} true; {level:.2f} + {slope:.2f} score')
    _say(about, lesson, 1 / (1 + np.exp(-(level + slope * scores))))
    model = _trees(about).fit(lesson.traits, lesson.truth, sample_weight=weights(about, lesson))
    file = FOLDER / f'{about}_trees.npz'
    np.savez_compressed(file, **exported(about, model, level, slope))
    print(f'{file.name}: {file.stat().st_size / 1e3:.0f} kB')


def _say(about: str, lesson: Lesson, chance: Array) -> None:
    truth, life = lesson.truth, lesson.life
    for limit in (1e-2, 5e-3, 2.5e-3, 1e-3, 5e-4, 2.5e-4):
        no, yes = chance <= limit, (chance >= 1 - limit) & (about == 'box')
        wrong = (no & truth) | (yes & ~truth)
        asked = ~(no | yes) & (~truth if about == 'line' else True)
        missed, looks = life[wrong].sum() / life[no | yes].sum(), life[asked].sum() / life.sum()
        print(f'limit {limit:g}: {missed:.1e} of those taken are wrong, {looks:.2%} asked')


def exported(
    about: str, model: HistGradientBoostingClassifier, level: float, slope: float
) -> dict[str, Any]:
    """The trees as arrays side by side, leaves leading to themselves."""
    all_nodes = [tree[0].nodes for tree in model._predictors]  # noqa: SLF001
    shape = len(all_nodes), max(len(nodes) for nodes in all_nodes)
    found: dict[str, Any] = {
        'trait': np.zeros(shape, np.int16), 'limit': np.zeros(shape, np.float32),
        'left': np.zeros(shape, np.int16), 'right': np.zeros(shape, np.int16),
        'value': np.zeros(shape, np.float32),
    }  # fmt: skip
    for row, nodes in enumerate(all_nodes):
        itself = np.arange(len(nodes))
        leaf = nodes['is_leaf'].astype(bool)
        put = {
            'trait': np.where(leaf, 0, nodes['feature_idx']),
            'limit': np.where(leaf, 0, nodes['num_threshold']),
            'left': np.where(leaf, itself, nodes['left']),
            'right': np.where(leaf, itself, nodes['right']),
            'value': np.where(leaf, nodes['value'], 0),
        }
        for name, values in put.items():
            found[name][row, : len(nodes)] = values
    base = float(np.ravel(model._baseline_prediction)[0])  # noqa: SLF001
    return {**found, 'depth': SIZES[about][0] + 1, 'base': base, 'level': level, 'slope': slope}


def main() -> None:
    """Gather, or take what was gathered, and teach both, or only one."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument('--pages', type=int, default=4000)
    options.add_argument('--workers', type=int, default=2)
    options.add_argument('--lines', type=Path, help='keep what was gathered here, or take it')
    options.add_argument('--only', choices=ONLY, help='teach these alone, leave the others be')
    asked = options.parse_args()
    if asked.lines and asked.lines.exists():
        lessons = taken_from(asked.lines)
    else:
        lessons = gathered(asked.pages, asked.workers)
        if asked.lines:
            keep(lessons, asked.lines)
    for about in (ONLY[asked.only],) if asked.only else lessons:
        teach(about, lessons[about])


def keep(lessons: dict[str, Lesson], file: Path) -> None:
    """Keep lessons, to teach them again without simulating."""
    np.savez_compressed(
        file, **{f'{a}_{name}': v for a, kept in lessons.items() for name, v in vars(kept).items()}
    )


def taken_from(file: Path) -> dict[str, Lesson]:
    """Lessons that were kept."""
    with np.load(file) as kept:
        return {
            about: Lesson(*(kept[f'{about}_{each.name}'] for each in fields(Lesson)))
            for about in SIZES
        }


if __name__ == '__main__':
    main()
