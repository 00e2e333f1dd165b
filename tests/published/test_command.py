"""`halfpoint results` on open rater by item tables, as a director would give them.

The tables are written with the columns of their R packages (plate, sample, diameter; Type,
Subject, effort; panelist, product, aftertaste) and mapped; the JSON must carry the figures
of the modules beside this one, where source and R code stand.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from halfpoint.cli.main import app

from . import sets
from .record import CRITERION, ERROR, MEAN, VARIANCE, Record
from .test_appletaste import RANDOM as APPLETASTE
from .test_ergostool import EXPECTED as ERGOSTOOL
from .test_penicillin import RANDOM as PENICILLIN

# Columns as the packages name them, options that map them, and what must come out.
TABLES: dict[str, tuple[dict[str, str], list[str], Record]] = {
    'penicillin': (
        {'taster': 'plate', 'wine': 'sample', 'total': 'diameter'},
        ['--wines', 'random'],
        PENICILLIN,
    ),
    'ergostool': ({'taster': 'Subject', 'wine': 'Type', 'total': 'effort'}, [], ERGOSTOOL),
    'appletaste': (
        {'taster': 'panelist', 'wine': 'product', 'total': 'aftertaste'},
        [],
        APPLETASTE,
    ),
}


def _results(name: str, folder: Path) -> dict[str, Any]:
    """The JSON of `halfpoint results` on one table."""
    columns, options, _ = TABLES[name]
    table, output = folder / f'{name}.csv', folder / f'{name}.json'
    getattr(sets, name)().rename(columns).write_csv(table)
    asked = ['--mark', columns['total'], '--effects', 'taster', '--json', str(output)]
    for role in ('taster', 'wine'):
        asked += ['--map', f'{role}={columns[role]}']
    called = ['results', str(table), *asked, *options]
    done = CliRunner().invoke(app, called, catch_exceptions=False)
    assert done.exit_code == 0, done.output
    read: dict[str, Any] = json.loads(output.read_text(encoding='utf-8'))
    return read


@pytest.mark.parametrize('name', TABLES)
def test_published_numbers(name: str, tmp_path: Path) -> None:
    """Criterion, components, means and errors in the JSON are the published ones."""
    record, found = TABLES[name][2], _results(name, tmp_path)
    variances = {part: value['variance'] for part, value in found['components'].items()}
    means = {wine['wine']: wine['adjusted'] for wine in found['wines']}
    errors = {wine['wine']: wine['se'] for wine in found['wines']}
    assert pytest.approx(record.criterion, rel=CRITERION) == found['criterion']
    assert pytest.approx(record.variances, rel=VARIANCE) == variances
    assert pytest.approx({w: m.mean for w, m in record.means.items()}, rel=MEAN) == means
    assert pytest.approx({w: m.se for w, m in record.means.items()}, rel=ERROR) == errors


@pytest.mark.parametrize('name', ['ergostool', 'appletaste'])
def test_published_pairs(name: str, tmp_path: Path) -> None:
    """Differences and their errors in the JSON are the published ones."""
    record, found = TABLES[name][2], _results(name, tmp_path)
    pairs = {(pair['a'], pair['b']): pair for pair in found['pairs']}
    assert sorted(record.pairs) == sorted(pairs)
    for names, expected in record.pairs.items():
        assert pytest.approx(expected.difference, rel=MEAN) == pairs[names]['difference']
        assert pytest.approx(expected.se, rel=ERROR) == pairs[names]['se']
