"""Invented tables of marks, and the command as a user runs it."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from halfpoint.cli.main import run

WINES = ('Ash', 'Birch', 'Cedar', 'Dogwood')
CATEGORIES = (('appearance', 3), ('aroma', 6), ('taste', 6), ('aftertaste', 3), ('overall', 2))
HEADER = ('taster', 'site', 'wine', 'position', *(key for key, _ in CATEGORIES), 'weather')


def rows(*, tasters: int = 12, sites: int = 3, seed: int = 1) -> list[dict[str, str]]:
    """A row per pour on the twenty-point sheet, later wines better."""
    rng = np.random.default_rng(seed)
    made = []
    for taster in range(tasters):
        severity = rng.normal(0, 0.6)
        for number, wine in enumerate(WINES):
            share = np.clip(0.6 + 0.06 * number + 0.06 * severity + rng.normal(0, 0.07, 5), 0, 1)
            marks = {
                key: f'{round(2 * top * part) / 2:g}'
                for (key, top), part in zip(CATEGORIES, share, strict=True)
            }
            where = {'taster': f'T{taster:02d}', 'site': f'S{taster % sites}', 'wine': wine}
            place = {'position': str((number + taster) % 4 + 1)}
            made.append(where | place | marks | {'weather': ('dry', 'wet')[taster % 2]})
    return made


def write(path: Path, table: list[dict[str, str]], *, header: tuple[str, ...] = HEADER) -> Path:
    """The rows as CSV."""
    lines = [','.join(header), *(','.join(row[name] for name in header) for row in table)]
    path.write_text('\n'.join(lines) + '\n', encoding='utf-8')
    return path


class Told:
    """How a command ended: `code`, `out` and `err`."""

    def __init__(self, code: int, out: str, err: str) -> None:
        self.code, self.out, self.err = code, out, err
        assert 'Traceback' not in out + err, out + err

    @property
    def words(self) -> str:
        """What was shown, on one line."""
        return ' '.join(self.out.split())


def results(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, *options: str | Path
) -> Told:
    """`halfpoint results` in this process, refusals reported as on the command line."""
    monkeypatch.setattr(sys, 'argv', ['halfpoint', 'results', *map(str, options)])
    monkeypatch.setenv('COLUMNS', '120')
    code = 0
    try:
        run()
    except SystemExit as ended:
        code = ended.code if isinstance(ended.code, int) else 1
    captured = capsys.readouterr()
    return Told(code, captured.out, captured.err)


def in_a_shell(folder: Path, *options: str, to: int = subprocess.PIPE) -> Told:
    """`halfpoint results` as a process of its own, standard output sent `to` somewhere."""
    command = [sys.executable, '-c', 'from halfpoint.cli.main import run; run()', 'results']
    told = subprocess.run(
        [*command, *options], cwd=folder, stdout=to, stderr=subprocess.PIPE, text=True, check=False
    )
    return Told(told.returncode, told.stdout or '', told.stderr)
