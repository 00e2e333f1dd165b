"""The guide as the app sets it: the same content, built in for the usual sheet."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

from halfpoint.sheet.load import builtin_sheets, load_sheet
from halfpoint.teach.guide import make_guide
from halfpoint.teach.guide.shown import shown

ROOT = Path(__file__).parents[3]


def test_the_guide_built_into_the_app_is_fresh(monkeypatch: pytest.MonkeyPatch) -> None:
    """The file says what the code says (mend with `python tools/guide.py`)."""
    monkeypatch.syspath_prepend(str(ROOT / 'tools'))
    sys.modules.pop('guide', None)
    from guide import FILE, guide_text

    assert guide_text() == FILE.read_text(encoding='utf-8')


@pytest.mark.parametrize('name', builtin_sheets())
def test_every_sheet_has_the_parts_that_the_app_sets(name: str) -> None:
    """Plain JSON with the keys of the one that is built in, stages and lines included."""
    usual = json.loads((ROOT / 'web/src/guide/twenty-point.json').read_text(encoding='utf-8'))
    told = json.loads(json.dumps(shown(make_guide(load_sheet(name)))))
    assert usual.keys() == told.keys()
    for stage in told['stages']:
        assert usual['stages'][0].keys() == stage.keys()
        for line in stage['lines']:
            assert {'label', 'asks', 'out-of', 'ruler', 'bands', 'rows'} == line.keys()
            assert {'low', 'high', 'long', 'short', 'labels'} == line['ruler'].keys()
