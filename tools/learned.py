"""Writes what the browser app's practice is held to: figures as this package works them out.

    python tools/learned.py

`web/tests/learned.json` has practice files with what each says, the statistics of drills, and
values of distributions as SciPy has them. `web/src/learn/twenty-point.json` is the built-in sheet.
`tests/teach/test_in_the_app.py` fails when one is stale.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict
from itertools import product
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, get_args

import numpy as np
from scipy.special import bdtrc, betainc, betaincinv, chdtri, gammaincc, gammaln, ndtr

from halfpoint.plan.difference import Test, difference_power, fewest_right, needed_answers
from halfpoint.sheet.entry import Entry
from halfpoint.sheet.form import Sheet
from halfpoint.sheet.load import load_sheet
from halfpoint.sheet.validity import check_entry
from halfpoint.teach.advice import points
from halfpoint.teach.advice_words import advise
from halfpoint.teach.calibration import Known
from halfpoint.teach.diary import (
    LEARNER,
    Drilled,
    Marked,
    begin,
    note,
    note_drill,
    read_diary,
    standing,
)
from halfpoint.teach.drills import judge
from halfpoint.teach.feedback import feed_back
from halfpoint.teach.prior import Prior, panel_prior
from halfpoint.teach.progress import follow
from halfpoint.teach.reference import TOTAL, KnownTerm, Reference

ROOT = Path(__file__).parents[1]
FIGURES = ROOT / 'web/tests/learned.json'
SHEET_FILE = ROOT / 'web/src/learn/twenty-point.json'
SHEET = load_sheet('twenty-point')
SEED = 20
# Severity, spread and noise of an invented learner, as shares of a category's top mark.
HABITS = (0.06, 0.7, 0.09)
NAMES = (
    'Ashlock', 'Brindle', 'Corvane', 'Dunmarrow', 'Elderby', 'Foxmere', 'Gallowhay', 'Harrowfen',
    'Inglewick', 'Jessamy', 'Kestlehurst', 'Larkspur', 'Mossop', 'Netherby', 'Oxpiper', 'Pennow',
    'Quillmere', 'Rushlade', 'Sallowfen', 'Tarnbeck',
)  # fmt: skip


class Learner:
    """An invented learner who marks wines of an invented panel, from one stream of chance."""

    def __init__(self, seed: int) -> None:
        self.rng = np.random.default_rng(seed)

    def reference(self, title: str, wines: int) -> Reference:
        """What an invented panel says of so many wines."""
        names = NAMES[:wines]
        apart = self.rng.normal(0.0, 0.12, wines)
        parts = {each.key: self._known(each.top, apart) for each in SHEET.categories}
        parts[TOTAL] = self._known(SHEET.top, apart)
        keys = list(SHEET.terms_by_key)
        terms = {
            name: tuple(
                KnownTerm(str(key), round(float(self.rng.uniform(0.2, 0.9)), 3))
                for key in self.rng.choice(keys, 4, replace=False)
            )
            for name in names[: wines - 1]
        }
        tops = {TOTAL: SHEET.top} | {each.key: each.top for each in SHEET.categories}
        priors = {key: panel_prior(0.05 * top, 0.26, 0.1 * top) for key, top in tops.items()}
        return Reference(title, True, 60, names, parts, priors, terms)

    def _known(self, top: float, apart: np.ndarray[Any, Any]) -> Known:
        wines = apart.size
        score = np.clip(0.7 * top + top * apart, 0.1 * top, 0.98 * top).round(6)
        shared, own = (0.01 * top) ** 2, (0.02 * top) ** 2 * self.rng.uniform(0.5, 2.0, wines)
        covariance = (np.full((wines, wines), shared) + np.diag(own)).round(8)
        centre, wine_sd = float(score.mean()), float(score.std(ddof=1)) if wines > 1 else top / 10
        return Known(score, covariance, centre, wine_sd, 0.02 * top)

    def entry(self, wine: str, reference: Reference | None, **more: Any) -> Entry:
        """Marks of this learner for a wine."""
        severity, spread, noise = HABITS
        marks = {}
        for each in SHEET.categories:
            panel = 0.7 * each.top
            if reference is not None and wine in reference.wines:
                panel = float(reference.marks[each.key].score[reference.wines.index(wine)])
            middle = 0.7 * each.top
            mean = middle + spread * (panel - middle) - severity * each.top
            drawn = self.rng.normal(mean, noise * each.top) / each.step
            marks[each.key] = float(np.clip(np.rint(drawn) * each.step, 0.0, each.top))
        return entry_of(wine, marks, **more)


def entry_of(wine: str, marks: dict[str, float], **more: Any) -> Entry:
    """An entry that stands.

    Raises:
        TypeError: it does not.
    """
    made = check_entry(SHEET, taster=LEARNER, wine=wine, marks=marks, **more)
    if not isinstance(made, Entry):
        raise TypeError(made)
    return made


def diaries(folder: Path) -> Iterator[tuple[str, Path]]:
    """Practice files of every kind: name and file."""
    for name, write in KINDS.items():
        path = folder / f'{name}.practice'
        write(Learner(SEED), path)
        yield name, path


def _flight(learner: Learner, path: Path) -> None:
    reference = learner.reference('One flight (invented)', 6)
    begin(path, SHEET, reference)
    for wine in reference.wines:
        terms = [one.key for one in reference.terms.get(wine, ())][:2]
        made = learner.entry(wine, reference, terms=[*terms, 'hay'], finish_seconds=12.0)
        note(path, Marked('2025-03-01', made))


def _years(learner: Learner, path: Path) -> None:
    first, second = learner.reference('First year', 8), learner.reference('Second year', 5)
    begin(path, SHEET, first, Prior(0.4, 0.8, 0.9, 0.2, 1.8, 12.0))
    for session in ('2025-03-01', '2025-03-08', '2025-04-02'):
        for wine in (*first.wines[:5], first.wines[0], 'Of my own'):
            note(path, Marked(session, learner.entry(wine, first)))
    note(path, Marked('2025-03-08', learner.entry(first.wines[2], first), corrects=True))
    note(path, Marked('2025-04-02', learner.entry(first.wines[6], first, faults=['corked'])))
    note_drill(path, Drilled('2025-04-02', 'triangle', 12, 7, 'one and other'))
    begin(path, SHEET, second)
    for wine in second.wines:
        note(path, Marked('2026-03-01', learner.entry(wine, second, remark='gut, ½')))


def _one_wine(learner: Learner, path: Path) -> None:
    reference = learner.reference('One wine', 3)
    begin(path, SHEET, reference)
    note(path, Marked('today', learner.entry(reference.wines[1], reference)))


def _same_mark(learner: Learner, path: Path) -> None:
    reference = learner.reference('Always the same', 6)
    begin(path, SHEET, reference)
    marks = {each.key: 0.5 * each.top for each in SHEET.categories}
    for wine in reference.wines:
        note(path, Marked('today', entry_of(wine, marks)))


def _own(learner: Learner, path: Path) -> None:
    begin(path, SHEET, None)
    for wine in ('House white', 'House red', 'House white'):
        note(path, Marked('today', learner.entry(wine, None)))


def _many(learner: Learner, path: Path) -> None:
    reference = learner.reference('Many wines', len(NAMES))
    begin(path, SHEET, reference)
    for wine in (*reference.wines, *reference.wines[:6]):
        note(path, Marked('2025-05-01', learner.entry(wine, reference)))


KINDS = {
    'flight': _flight, 'years': _years, 'one wine': _one_wine, 'same mark': _same_mark,
    'own bottles': _own, 'many wines': _many,
}  # fmt: skip


def told(path: Path) -> dict[str, Any]:
    """What a practice file says, as this package works it out."""
    diary = read_diary(path)
    progress = follow(diary)
    made: dict[str, Any] = {
        'sessions': [
            {
                'session': one.session,
                'entries': len(one.entries),
                'compared': one.compared,
                'found': {key: _shown(each) for key, each in one.found.items()},
            }
            for one in progress.sessions
        ],
        'wines': progress.wines,
        'steadiness': None if progress.steadiness is None else asdict(progress.steadiness),
        'feedback': [
            _shown(feed_back(one.entry, diary.sheet, stage.reference))
            for stage in diary.stages
            for one in standing(stage.marked)
        ],
        'points': [],
        'advice': None,
    }
    if diary.reference is not None and progress.now:
        reference = diary.reference
        ranked = points(progress.now, reference.marks, reference.priors, diary.sheet)
        advice = advise(ranked, progress.now, reference, diary.sheet)
        made['points'] = [asdict(one) for one in ranked]
        made['advice'] = None if advice is None else list(advice.wines)
    return made


def _shown(found: Any) -> dict[str, Any]:
    """A dataclass without its words and without what only the command line shows."""
    return {
        name: value for name, value in asdict(found).items() if name not in {'sentences', 'plain_r'}
    }


def drills() -> dict[str, Any]:
    """Statistics of drills: every number of rounds that one sits down to, and beyond."""
    tests: Sequence[Test] = get_args(Test)
    counts = (*range(1, 61), 97, 240, 1000)
    return {
        test: {
            'fewest': [[n, a, fewest_right(n, test, a)] for n in counts for a in (0.05, 0.01)],
            'power': [
                [n, share, difference_power(n, share, test)]
                for n in counts
                for share in (0.25, 0.5)
            ],
            'needed': [
                [share, asdict(needed) if (needed := needed_answers(share, test)) else None]
                for share in (0.2, 0.3, 0.5, 0.8)
            ],
            'judged': [
                [n, right, *(getattr(judge(test, n, right), name) for name in JUDGED)]
                for n, right in ((1, 0), (1, 1), (6, 0), (6, 5), (12, 7), (12, 12), (60, 31))
            ],
        }
        for test in tests
    }


JUDGED = ('fewest_right', 'p', 'share', 'low', 'high', 'power')


def distributions() -> dict[str, Any]:
    """Values of SciPy (scipy.special) over what practice asks for."""
    counts = [
        (right, n, p)
        for n in (1, 7, 40, 900)
        for right in range(0, n + 1, 1 + n // 5)
        for p in (1 / 3, 0.5, 0.83)
    ]
    return {
        'gammaln': over(gammaln, (0.1, 0.5, 1.0, 1.5, 3.2, 10.0, 140.5)),
        'upper gamma': over(gammaincc, (0.5, 1.5, 6.0, 40.0), (0.01, 1.0, 7.0, 55.0)),
        'chi-square': over(chdtri, (3.0, 4.5, 13.0, 60.0), (1e-5, 0.05, 0.5, 1 - 1e-5)),
        'normal': over(ndtr, (-8.0, -3.1, -1.0, 0.0, 0.4, 1.96, 6.0)),
        'binomial': [[*each, 1.0 if each[0] == 0 else _at_least(*each)] for each in counts],
        'beta': over(betainc, (0.5, 3.0, 31.0), (1.0, 7.5), (0.05, 0.5, 0.99)),
        'inverse beta': over(betaincinv, (1.0, 7.0, 32.0), (1.0, 6.0, 30.0), (0.025, 0.5, 0.975)),
    }


def over(function: Callable[..., Any], *values: Sequence[float]) -> list[list[float]]:
    """A function at every combination of values, its value last."""
    return [[*each, float(function(*each))] for each in product(*values)]


def _at_least(right: int, answers: int, chance: float) -> float:
    return float(bdtrc(right - 1, answers, chance))


def figures() -> dict[str, Any]:
    """Everything, as it stands in the file."""
    with TemporaryDirectory() as folder:
        practices = [
            {'name': name, 'text': path.read_text(encoding='utf-8'), 'told': told(path)}
            for name, path in diaries(Path(folder))
        ]
    return {'practices': practices, 'drills': drills(), 'distributions': distributions()}


def sheet_text(sheet: Sheet = SHEET) -> str:
    """The sheet as a practice file holds it."""
    return json.dumps(sheet.model_dump(mode='json'), ensure_ascii=False, indent=1) + '\n'


def without_nan(value: Any) -> Any:
    """JSON has no NaN: null stands for it."""
    if isinstance(value, dict):
        return {key: without_nan(each) for key, each in value.items()}
    if isinstance(value, (list, tuple)):
        return [without_nan(each) for each in value]
    return None if isinstance(value, float) and math.isnan(value) else value


def main() -> None:
    """Write both files."""
    text = json.dumps(without_nan(figures()), ensure_ascii=False, separators=(',', ':'))
    FIGURES.write_text(text + '\n', encoding='utf-8')
    SHEET_FILE.write_text(sheet_text(), encoding='utf-8')


if __name__ == '__main__':
    main()
