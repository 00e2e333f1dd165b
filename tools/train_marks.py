"""Teach the reader of score sheets how likely a marked line is not what was meant.

    python tools/train_marks.py --pages 3200

Pages are simulated (`halfpoint.demo.paper`) with seeds from 9,000,000, which nothing else uses,
and with many more corrections, doubled and withdrawn marks than people make.  The lines that
would be taken but for the weighing are given to boosted trees; what the trees say on pages that
they were not shown is turned into a chance by logistic regression in which each line weighs as
much as its kind is frequent in life.  Writes `src/halfpoint/collect/paper/read/ink/trees.npz`.
"""

from __future__ import annotations

import argparse
import os
import tempfile
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
    'corrected': 0.06, 'erased': 0.03, 'double': 0.03, 'blank': 0.01, 'between': 0.02,
    'started': 0.03, 'heavier': 0.02, 'other style': 0.03, 'withdrawn': 0.09, 'written': 0.02,
    'restored': 0.02, 'with number': 0.02,
}  # fmt: skip
STYLES = (*GOOD * 4, *DAMAGED)
TREES, DEPTH, RATE, LEAF, RIDGE = 220, 4, 0.07, 20, 2.0
WEIGHTS = Path(__file__).parents[1] / 'src/halfpoint/collect/paper/read/ink/trees.npz'
Array = NDArray[np.float64]
_here: dict[str, Any] = {}
_life = dict(rates.ROW_EVENTS)


def lesson(number: int) -> list[tuple[int, float, bool, Array]]:
    """The lines of one page: page, how frequent such lines are in life, wrong, traits."""
    if not _here:
        _set_up()
    filled, taken = simulate(
        FIRST_SEED + number, _here['layout'], _here['blanks'], _here['tasting'].sheet,
        STYLES[number % len(STYLES)],
    )  # fmt: skip
    _here['seen'].clear()
    if isinstance(_here['reader'].read(Picture(taken.image, False)), HeldPage):
        return []
    marking: Marking = _here['seen'][-1]
    return [(number, *line) for line in _lines(filled, marking)]


def _lines(filled: Filled, marking: Marking) -> list[tuple[float, bool, Array]]:
    truth = {(block.place, row.category): row for block in filled.blocks for row in block.rows}
    found = []
    for each, weighed, traits in zip(
        marking.evidence, marking.weighed, marking.traits, strict=True
    ):
        row = truth[each.run.place, each.run.row.category]
        if weighed:
            wrong = row.value is None or row.value != each.run.adds[each.top]
            life = _life.get(row.kind, 1.0) / BOOSTED.get(row.kind, 1.0)
            found.append((life, wrong, traits))
    return found


def _set_up() -> None:
    cv2.setNumThreads(1)
    rates.ROW_EVENTS.update(BOOSTED)
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


def gathered(pages: int, workers: int) -> tuple[Array, Array, Array, Array]:
    """Traits, whether wrong, frequency in life and page of every line of so many pages."""
    lines = []
    with get_context('spawn').Pool(workers) as pool:
        for done, some in enumerate(pool.imap(lesson, range(pages), chunksize=8), start=1):
            lines += some
            if done % 250 == 0:
                print(f'{done} pages, {len(lines)} lines', flush=True)
    page, life, wrong, traits = zip(*lines, strict=True)
    return np.array(traits), np.array(wrong), np.array(life), np.array(page)


def _trees() -> HistGradientBoostingClassifier:
    return HistGradientBoostingClassifier(
        max_iter=TREES, max_depth=DEPTH, learning_rate=RATE, min_samples_leaf=LEAF,
        l2_regularization=RIDGE, random_state=1,
    )  # fmt: skip


def unseen_scores(traits: Array, wrong: Array, page: Array) -> Array:
    """What trees say of lines on pages that they were not shown, by tenfold turns."""
    scores = np.zeros(len(wrong))
    for shown, kept in GroupKFold(10).split(traits, wrong, page):
        scores[kept] = _trees().fit(traits[shown], wrong[shown]).decision_function(traits[kept])
    return scores


def exported(model: HistGradientBoostingClassifier, level: float, slope: float) -> dict[str, Any]:
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
    return {**found, 'depth': DEPTH + 1, 'base': base, 'level': level, 'slope': slope}


def main() -> None:
    """Gather, teach, calibrate, write, and say what was reached."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument('--pages', type=int, default=3200)
    options.add_argument('--workers', type=int, default=2)
    options.add_argument('--lines', type=Path, help='keep the lines here, or take them from here')
    asked = options.parse_args()
    if asked.lines and asked.lines.exists():
        with np.load(asked.lines) as kept:
            traits, wrong, life, page = (kept[n] for n in ('traits', 'wrong', 'life', 'page'))
    else:
        traits, wrong, life, page = gathered(asked.pages, asked.workers)
        if asked.lines:
            np.savez_compressed(asked.lines, traits=traits, wrong=wrong, life=life, page=page)
    scores = unseen_scores(traits, wrong, page)
    chance = LogisticRegression(C=1e6).fit(scores[:, None], wrong, sample_weight=life)
    level, slope = float(chance.intercept_[0]), float(chance.coef_[0, 0])
    said = 1 / (1 + np.exp(-(level + slope * scores)))
    print(f'{len(wrong)} lines, {wrong.sum()} wrong; level {level:.2f}, slope {slope:.2f}')
    for limit in (1e-2, 3e-3, 1e-3, 3e-4, 1e-4, 3e-5):
        taken = said <= limit
        missed = life[taken & wrong].sum() / life.sum()
        asked_of = life[~taken & ~wrong].sum() / life[~wrong].sum()
        print(
            f'limit {limit:g}: wrong taken {missed:.1e} of lines, right ones asked {asked_of:.2%}'
        )
    model = _trees().fit(traits, wrong)
    np.savez_compressed(WEIGHTS, **exported(model, level, slope))
    print(f'{WEIGHTS.name}: {WEIGHTS.stat().st_size / 1e3:.0f} kB')


if __name__ == '__main__':
    main()
