"""Tastings simulated from a plan."""

from __future__ import annotations

import numpy as np
import pytest

from halfpoint.demo.telling import Marked, simulate_telling
from halfpoint.plan.power import Question
from halfpoint.plan.precision import PlannedSite, Variances

SITES = [PlannedSite(3, (0, 2, 1, 2)), PlannedSite(2, (1, 3))]
STILL = 1e-12


def test_every_taster_marks_every_pour_of_the_site() -> None:
    """Three tasters with four pours and two with two are sixteen marks, five tasters."""
    frame = Marked.of_plan(SITES).frame()
    assert (16, 5, 4) == (frame.height, frame['taster'].n_unique(), frame['wine'].n_unique())
    assert {'s0': 12, 's1': 4} == dict(frame['site'].value_counts().iter_rows())


@pytest.mark.parametrize(
    ('part', 'alike', 'groups'),
    [('taster', 'taster', 5), ('site', 'site', 2), ('bottle', 'bottle', 5)],
)
def test_each_variance_moves_its_own_marks(part: str, alike: str, groups: int) -> None:
    """With one variance alone, marks are alike where it is shared and nowhere else."""
    marked = Marked.of_plan(SITES)
    sizes = {'taster': 0.0, 'site': 0.0, 'bottle': 0.0, part: 1.0}
    marks = marked.draw(np.random.default_rng(1), Variances(**sizes, residual=STILL)).round(3)
    codes = getattr(marked, alike)
    assert groups == len({(code, mark) for code, mark in zip(codes, marks, strict=True)})
    assert groups == np.unique(marks).size


def test_the_same_seed_simulates_the_same_tastings() -> None:
    """Progress is told at the end, and counts are the same again."""
    told: list[int] = []
    sites = [PlannedSite(4, (0, 1, 2))] * 4
    first, second = (
        simulate_telling(
            sites, Variances(1, 0.1, 0.2, 1), Question(1.5),
            tastings=6, foreseen=0.5, seed=seed, progress=told.append,
        )
        for seed in (4, 4)
    )  # fmt: skip
    assert first == second
    assert [6, 6] == told
    assert first.alike is None
