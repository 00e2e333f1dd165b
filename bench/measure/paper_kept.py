"""Figures of the longest run are the ones kept."""

from __future__ import annotations

import json
from collections.abc import Mapping

from measure.figures import FOLDER, keep


def keep_longest(name: str, on: Mapping[str, object], figures: Mapping[str, object]) -> None:
    """Keep figures, unless those kept already are of more `pages`; `reader` is its SHA-256."""
    path = FOLDER / f'{name}.json'
    if path.exists():
        before = json.loads(path.read_text(encoding='utf-8'))['figures']
        if before['pages'] > figures['pages']:
            same = before['reader'] == figures['reader']
            whose = "the same reader" if same else "ANOTHER reader than this one"
            print(f'kept in {path.name}: the figures of {before["pages"]:,} pages, by {whose}')
            return
    keep(name, on, figures)
