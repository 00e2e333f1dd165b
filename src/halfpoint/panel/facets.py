"""Many-facet rating scale: wines, tasters and categories on one ruler of log odds.

The log odds of one step more are wine - taster - category - threshold. Tasters are taken out of
each Newton step first, so that their number costs no more than a pass over the marks.
Linacre (1989), Many-facet Rasch Measurement; Andrich (1978), Psychometrika 43, 561-573;
joint maximum likelihood as in Wright and Masters (1982), Rating Scale Analysis, chapter 4.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from halfpoint.errors import NotConverged, TooFewMarks
from halfpoint.panel.two_way import Floats

Ints = NDArray[np.int64]
Kind = Literal['wine', 'taster', 'category']
MOST_ROUNDS = 100
SMALL_STEP = 1e-9


@dataclass(frozen=True, slots=True)
class Facet:
    """The levels of one facet, each array with one figure a level, NaN where none can be given.

    `measure` in log odds: a wine liked more, a taster more severe, a category harder to earn.
    `infit` and `outfit` are mean squares: 1 as the model expects, above 1 more erratic, below 1
    more regular; infit weighs marks by how much they tell, outfit counts them alike.
    """

    measure: Floats
    se: Floats
    infit: Floats
    outfit: Floats
    marks: Ints


@dataclass(frozen=True, slots=True)
class FacetsFit:
    """Joint estimates. `thresholds[c]` are the steps of scale c, mean 0; `steps` how many used.

    Joint estimates lie too far apart by about k / (k - 1) for k marks a taster; `notes` say what
    was left out.
    """

    wine: Facet
    taster: Facet
    category: Facet
    thresholds: tuple[Floats, ...]
    loglik: float
    rounds: int
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Marks:
    """Marks that say something: steps counted anew from 0 within each scale."""

    step: Ints
    wine: Ints
    taster: Ints
    category: Ints
    tops: tuple[int, ...]


def fit_facets(step: Ints, wine: Ints, taster: Ints, category: Ints | None = None) -> FacetsFit:
    """Joint maximum likelihood of the rating-scale model, one scale a category.

    Args:
        step: which step each mark is, from 0; shape (marks,).
        wine: which wine, from 0; shape (marks,).
        taster: which taster, from 0; shape (marks,).
        category: which category, from 0; all of one category without it.

    A taster or wine whose every mark is the lowest or highest step has no finite measure and is
    left out; a step nobody used is passed over. Both are said in `notes`.

    Raises:
        TooFewMarks: fewer than two wines, two tasters or two steps are left.
        NotConverged: no optimum was reached.
    """
    category = np.zeros_like(step) if category is None else category
    counts = tuple(int(each.max(initial=-1)) + 1 for each in (wine, taster, category))
    kept = np.ones(len(step), dtype=np.bool_)
    while True:
        marks, used = _used_steps(step[kept], wine[kept], taster[kept], category[kept])
        more = kept.copy()
        more[kept] = ~_at_an_end(marks)
        if more.all() or more.sum() == kept.sum():
            break
        kept = more
    _refuse_too_few(marks)
    model = _Model(marks, counts)
    point, rounds = _climb(model)
    return _told(model, point, rounds, _notes(kept, wine, taster, used))


def _used_steps(step: Ints, wine: Ints, taster: Ints, category: Ints) -> tuple[_Marks, list[Ints]]:
    """Number the steps of each category anew, those nobody used left out."""
    anew = np.zeros_like(step)
    used = []
    for number in range(int(category.max(initial=-1)) + 1):
        here = category == number
        values, anew[here] = np.unique(step[here], return_inverse=True)
        used.append(values)
    tops = tuple(max(0, len(values) - 1) for values in used)
    return _Marks(anew, wine, taster, category, tops), used


def _at_an_end(marks: _Marks) -> NDArray[np.bool_]:
    """Marks of a wine or taster that has nothing but lowest, or nothing but highest, steps."""
    top = np.asarray(marks.tops, dtype=np.int64)[marks.category]
    ends = np.zeros(len(marks.step), dtype=np.bool_)
    for level in (marks.wine, marks.taster):
        number = int(level.max(initial=-1)) + 1
        total = np.bincount(level, marks.step, number)
        most = np.bincount(level, top, number)
        ends |= ((total == 0) | (total == most))[level]
    return ends


def _refuse_too_few(marks: _Marks) -> None:
    wines, tasters = len(np.unique(marks.wine)), len(np.unique(marks.taster))
    if min(wines, tasters) < 2 or not max(marks.tops, default=0):
        raise TooFewMarks(
            f"{wines} wines and {tasters} tasters are left",
            where="the rating scale",
            expected="at least two of each that are not always at one end of the scale",
        )


@dataclass(frozen=True, slots=True)
class _Point:
    """The model at one set of parameters: chances of each step, shape (marks, steps)."""

    wine: Floats
    taster: Floats
    thresholds: Floats
    chance: Floats
    loglik: float

    @property
    def expected(self) -> Floats:
        return np.asarray(self.chance @ np.arange(self.chance.shape[1]))

    @property
    def variance(self) -> Floats:
        return np.asarray(self.chance @ np.arange(self.chance.shape[1]) ** 2 - self.expected**2)


class _Model:
    """The likelihood of the marks. Thresholds lie in a square, shape (categories, most steps)."""

    def __init__(self, marks: _Marks, counts: tuple[int, ...]) -> None:
        self.marks = marks
        self.counts = counts
        self.most = max(marks.tops)
        self.used = np.arange(1, self.most + 1) <= np.asarray(marks.tops)[:, None]

    def start(self) -> _Point:
        """Everything at nothing."""
        wines, tasters = self.counts[:2]
        return self.at(np.zeros(wines), np.zeros(tasters), np.zeros(self.used.shape))

    def at(self, wine: Floats, taster: Floats, thresholds: Floats) -> _Point:
        """The model at these parameters."""
        marks = self.marks
        sums = np.cumsum(np.where(self.used, thresholds, np.inf), axis=1)
        below = np.concatenate([np.zeros((len(sums), 1)), sums], axis=1)[marks.category]
        odds = wine[marks.wine] - taster[marks.taster]
        weight = odds[:, None] * np.arange(self.most + 1) - below
        highest = weight.max(axis=1, keepdims=True)
        chance = np.exp(weight - highest)
        total = chance.sum(axis=1, keepdims=True)
        own = np.take_along_axis(weight - highest, marks.step[:, None], axis=1) - np.log(total)
        return _Point(wine, taster, thresholds, chance / total, float(own.sum()))

    def ahead(self, point: _Point) -> tuple[Floats, Floats, Floats]:
        """Newton's step for wines, tasters and thresholds, tasters eliminated first."""
        marks, (wines, tasters, _) = self.marks, self.counts
        at_least = point.chance[:, ::-1].cumsum(axis=1)[:, ::-1][:, 1:]
        left, variance = marks.step - point.expected, point.variance
        with_step = self._with_step(point, at_least)
        gradient = np.concatenate(
            [np.bincount(marks.wine, left, wines), self._threshold_gradient(at_least)]
        )
        of_tasters = -np.bincount(marks.taster, left, tasters)
        diagonal = np.maximum(np.bincount(marks.taster, variance, tasters), 1e-300)
        here = diagonal > 1e-250
        cross = np.concatenate(
            [
                -_sums(marks.taster, marks.wine, variance, (tasters, wines)),
                self._by_threshold(marks.taster, with_step, tasters),
            ],
            axis=1,
        )
        rest = self._rest(variance, with_step, at_least)
        eased = cross[here] / diagonal[here, None]
        # Two shifts change nothing, so the smallest of all equal steps is taken.
        solved = np.linalg.pinv(rest - cross[here].T @ eased, hermitian=True, rcond=1e-11)
        move = solved @ (gradient - eased.T @ of_tasters[here])
        taster = np.zeros(tasters)
        taster[here] = of_tasters[here] / diagonal[here] - eased @ move
        thresholds = np.zeros(self.used.shape)
        thresholds[self.used] = move[wines:]
        return move[:wines], taster, thresholds

    def _with_step(self, point: _Point, at_least: Floats) -> Floats:
        """Covariance of a mark with its being at least step j, shape (marks, most steps)."""
        weighed = point.chance * np.arange(self.most + 1)
        above = weighed[:, ::-1].cumsum(axis=1)[:, ::-1][:, 1:]
        return np.asarray(above - point.expected[:, None] * at_least)

    def _threshold_gradient(self, at_least: Floats) -> Floats:
        reached = self.marks.step[:, None] >= np.arange(1, self.most + 1)
        return self._by_category(at_least - reached)[self.used]

    def _by_category(self, values: Floats) -> Floats:
        made = np.zeros((len(self.used), values.shape[1]))
        np.add.at(made, self.marks.category, values)
        return np.asarray(made)

    def _by_threshold(self, level: Ints, values: Floats, count: int) -> Floats:
        """Sums of `values` by level and threshold, shape (levels, thresholds)."""
        number = count * len(self.used)
        at = level * len(self.used) + self.marks.category
        sums = np.stack([np.bincount(at, column, number) for column in values.T], axis=-1)
        return np.asarray(sums.reshape(count, len(self.used), -1)[:, self.used])

    def _rest(self, variance: Floats, with_step: Floats, at_least: Floats) -> Floats:
        """Information of wines and thresholds."""
        wines = self.counts[0]
        own = np.diag(np.bincount(self.marks.wine, variance, wines))
        cross = -self._by_threshold(self.marks.wine, with_step, wines)
        thresholds = np.zeros((self.used.sum(), self.used.sum()))
        start = 0
        for number, top in enumerate(self.marks.tops):
            here = at_least[self.marks.category == number][:, :top]
            later = np.maximum(np.arange(top)[:, None], np.arange(top))
            block = here.sum(axis=0)[later] - here.T @ here
            thresholds[start : start + top, start : start + top] = block
            start += top
        return np.asarray(np.block([[own, cross], [cross.T, thresholds]]))


def _sums(row: Ints, column: Ints, values: Floats, shape: tuple[int, int]) -> Floats:
    at = row * shape[1] + column
    return np.asarray(np.bincount(at, values, shape[0] * shape[1]).reshape(shape))


def _climb(model: _Model) -> tuple[_Point, int]:
    """Newton's method, halving a step that leads down."""
    point = model.start()
    for rounds in range(1, MOST_ROUNDS + 1):
        move = model.ahead(point)
        size = 1.0
        while size > 1e-6:
            ahead = model.at(
                point.wine + size * move[0],
                point.taster + size * move[1],
                point.thresholds + size * move[2],
            )
            if ahead.loglik >= point.loglik - 1e-10 * abs(point.loglik):
                point = ahead
                break
            size /= 2.0
        if max(np.abs(part).max(initial=0.0) for part in move) < SMALL_STEP:
            return point, rounds
    raise NotConverged(
        "the rating scale found no optimum",
        where=f"after {MOST_ROUNDS} rounds",
        remedy="look for a wine or taster with marks at one end of the scale only",
    )


def _facet(
    model: _Model, point: _Point, level: Ints, count: int, measure: Floats, shift: float
) -> Facet:
    """Centred measures with standard errors and mean squares."""
    left = np.square(model.marks.step - point.expected)
    variance = point.variance
    marks = np.bincount(level, minlength=count)
    told = np.bincount(level, variance, count)
    with np.errstate(divide='ignore', invalid='ignore'):
        return Facet(
            np.where(marks > 0, measure - shift, np.nan),
            1.0 / np.sqrt(told),
            np.bincount(level, left, count) / told,
            np.bincount(level, left / variance, count) / marks,
            marks,
        )


def _told(model: _Model, point: _Point, rounds: int, notes: tuple[str, ...]) -> FacetsFit:
    marks, counts = model.marks, model.counts
    wine_mean = float(point.wine[np.unique(marks.wine)].mean())
    taster_mean = float(point.taster[np.unique(marks.taster)].mean())
    thresholds = [
        row[used] - wine_mean + taster_mean
        for row, used in zip(point.thresholds, model.used, strict=True)
    ]
    levels = np.array([row.mean() if row.size else np.nan for row in thresholds])
    return FacetsFit(
        wine=_facet(model, point, marks.wine, counts[0], point.wine, wine_mean),
        taster=_facet(model, point, marks.taster, counts[1], point.taster, taster_mean),
        category=_facet(model, point, marks.category, counts[2], levels, 0.0),
        thresholds=tuple(row - row.mean() if row.size else row for row in thresholds),
        loglik=point.loglik,
        rounds=rounds,
        notes=notes,
    )


# Of wines and of tasters, one and several.
_ONE_END = (
    (
        "One wine has marks at one end of the scale only, and no finite place on it.",
        "{gone} wines have marks at one end of the scale only, and no finite place on it.",
    ),
    (
        "One taster has marks at one end of the scale only, and no finite place on it.",
        "{gone} tasters have marks at one end of the scale only, and no finite place on it.",
    ),
)


def _notes(kept: NDArray[np.bool_], wine: Ints, taster: Ints, used: list[Ints]) -> tuple[str, ...]:
    """What was left out, in words."""
    notes = []
    for one, several, level in ((*_ONE_END[0], wine), (*_ONE_END[1], taster)):
        gone = len(np.unique(level)) - len(np.unique(level[kept]))
        if gone:
            notes.append(one if gone == 1 else several.format(gone=gone))
    passed = sum(int(values.max(initial=-1)) + 1 - len(values) for values in used)
    if passed == 1:
        notes.append("One step was used by nobody and passed over.")
    elif passed:
        notes.append(f"{passed} steps were used by nobody and passed over.")
    return tuple(notes)
