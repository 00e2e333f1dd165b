"""The guide over HTTP: for everybody, of the sheet that is marked on, and never a wine."""

from __future__ import annotations

from tests.serve.conftest import HIDDEN, Evening

from halfpoint.sheet.load import load_sheet
from halfpoint.teach.guide import make_guide


def test_anybody_gets_the_guide_of_the_sheet(evening: Evening) -> None:
    """Without a seat: every line of the tasting's sheet, in its stage, as on paper."""
    said = evening.client.get('/api/guide')
    assert (200, 'application/json') == (said.status_code, said.headers['content-type'])
    guide = make_guide(load_sheet('twenty-point'))
    lines = [line.label for stage in guide.stages for line in stage.lines]
    told = said.json()
    assert lines == [line['label'] for stage in told['stages'] for line in stage['lines']]
    assert list(guide.cautions) == told['cautions']


def test_the_guide_names_no_wine_of_the_tasting(evening: Evening) -> None:
    """Its examples are invented, and nothing of the tasting but the sheet is in it."""
    said = evening.client.get('/api/guide').text.casefold()
    assert [] == [word for word in HIDDEN if word in said]
    assert evening.tasting.title.casefold() not in said
