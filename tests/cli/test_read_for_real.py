"""`halfpoint read` from paper to entries: simulated pens and scans, the real reader."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from tests.cli.paper import make_tasting, plan_of, ran, state_of, tasting_in

from halfpoint.collect.paper.print import lay_out
from halfpoint.demo.paper import Filled, blanks, draw_writer, fill, scan

PAGES = 4


@pytest.fixture(scope='module')
def filled(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[Filled]]:
    """A folder with scans of four pages, and what their writers meant."""
    folder = tmp_path_factory.mktemp('spring')
    make_tasting(folder)
    tasting = tasting_in(folder)
    layout = lay_out(tasting.sheet, 4)
    rng = np.random.default_rng(7)
    pages = []
    for at, blank in enumerate(blanks(tasting, plan_of(tasting), layout, count=PAGES)):
        pages.append(fill(rng, layout, blank, tasting.sheet, draw_writer(rng)))
        (folder / f'{at}.jpg').write_bytes(scan(rng, pages[-1], 'scan-200', None).encoded)
    return folder, pages


def test_what_was_meant_is_in_the_record(filled: tuple[Path, list[Filled]]) -> None:
    """Every page is known for what it is, and each mark taken is the one that was meant."""
    folder, pages = filled
    said = ran('read', folder / 'spring.toml', *(folder / f'{at}.jpg' for at in range(PAGES)))
    assert 'held' not in said

    state = state_of(tasting_in(folder))
    meant = {
        (page.page.identity.payload, block.place, row.category): row.value
        for page in pages
        for block in page.blocks
        for row in block.rows
    }
    taken = {
        (each.page.payload, pour.place, key): mark
        for each in state.papers.pages.values()
        for pour in each.page.pours
        for key, mark in pour.marks.items()
        if mark is not None
    }
    assert PAGES == len({payload for payload, _, _ in taken})
    assert len(taken) > 0.7 * len(meant)
    assert {key: meant[key] for key in taken} == taken
    assert state.entries
