"""Writes the guide of the usual sheet into the browser app, which shows it without a server.

`web/src/guide/twenty-point.json`; `tests/teach/guide/test_shown.py` fails when it is stale.
"""

from __future__ import annotations

import json
from pathlib import Path

from halfpoint.sheet.load import load_sheet
from halfpoint.teach.guide import make_guide
from halfpoint.teach.guide.shown import shown

FILE = Path(__file__).parents[1] / 'web/src/guide/twenty-point.json'
USUAL = 'twenty-point'


def guide_text() -> str:
    """What the file should hold."""
    told = shown(make_guide(load_sheet(USUAL)))
    return json.dumps(told, ensure_ascii=False, indent=1) + '\n'


if __name__ == '__main__':
    FILE.write_text(guide_text(), encoding='utf-8')
