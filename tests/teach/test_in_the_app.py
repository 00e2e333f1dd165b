"""What the browser app's practice is held to is what this package says now."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

import learned

KEPT = json.loads(learned.FIGURES.read_text(encoding='utf-8'))


def _alike(expected: Any, found: Any, where: str = '') -> None:
    """The same, numbers to nine digits."""
    if isinstance(expected, dict):
        assert expected.keys() == found.keys(), where
        for key, each in expected.items():
            _alike(each, found[key], f'{where} {key}')
    elif isinstance(expected, list):
        assert len(expected) == len(found), where
        for at, each in enumerate(expected):
            _alike(each, found[at], f'{where} {at}')
    elif isinstance(expected, float):
        assert pytest.approx(expected, rel=1e-9, abs=1e-12) == found, where
    else:
        assert expected == found, where


def _as_json(value: Any) -> Any:
    return json.loads(json.dumps(learned.without_nan(value)))


@pytest.mark.parametrize('kept', KEPT['practices'], ids=lambda kept: kept['name'])
def test_practice_files_say_what_the_app_is_held_to(kept: Any, tmp_path: Path) -> None:
    """Each practice file, read anew, has the same figures (mend with `python tools/learned.py`)."""
    path = tmp_path / 'kept.practice'
    path.write_text(kept['text'], encoding='utf-8')
    _alike(kept['told'], _as_json(learned.told(path)), kept['name'])


def test_statistics_of_drills_are_current() -> None:
    """Fewest right answers, power and intervals are those of this package and of SciPy."""
    _alike(KEPT['drills'], _as_json(learned.drills()))
    _alike(KEPT['distributions'], _as_json(learned.distributions()))


def test_the_app_has_the_built_in_sheet() -> None:
    """The sheet for own bottles is the built-in one, word for word."""
    assert learned.sheet_text() == learned.SHEET_FILE.read_text(encoding='utf-8')
