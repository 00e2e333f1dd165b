"""`halfpoint print --sheets` for a large tasting, from the tasting file to PDFs on the disk.

100 sites of 50 tasters with 8 wines each are 10,000 personal sheets at four wines a page; the plan
is in the record beforehand.  Measured whole, in a process of its own.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from measure.figures import describe, keep, machine, print_table
from measure.runs import HALFPOINT, Run, run

SITES, SEATS, WINES = 100, 50, 8
SHEETS = SITES * SEATS * WINES // 4
SECONDS, MEGABYTES, FILE_MEGABYTES = 20.0, 500.0, 60.0


def tasting_file(folder: Path) -> Path:
    """An invented tasting, written into a folder."""
    head = '[tasting]\nkey = "bench"\ntitle = "Bench (invented)"\ninvented = true\n'
    head += f'[plan]\nseats = {SEATS}\ncapacity = {WINES}\n'
    sites = ''.join(f'[[site]]\nkey = "s{n}"\nname = "Room {n}"\n' for n in range(SITES))
    wines = ''.join(f'[[wine]]\nkey = "w{n}"\nname = "Wine {n}"\n' for n in range(WINES))
    file = folder / 'bench.toml'
    file.write_text(head + sites + wines, encoding='utf-8')
    return file


def measured(folder: Path) -> tuple[Run, float]:
    """The run of the command, and how many megabytes it wrote."""
    file = str(tasting_file(folder))
    run([HALFPOINT, 'plan', file, '--into', str(folder / 'plan')])
    into = folder / 'papers'
    done = run([HALFPOINT, 'print', file, '--sheets', '--into', str(into)])
    return done, sum(path.stat().st_size for path in into.rglob('*.pdf')) / 1e6


def main() -> int:
    """Measure, print, keep; 1 when a figure misses what it is meant to be."""
    on = machine()
    with tempfile.TemporaryDirectory() as name:
        done, written = measured(Path(name))
    memory = done.peak / 1e6
    print_table(
        f'halfpoint print --sheets, {SHEETS:,} personal sheets',
        [
            ('machine', describe(on)),
            ('wall', f'{done.wall:.1f} s (meant: under {SECONDS:g} s)'),
            ('memory', f'{memory:.0f} MB at most (meant: under {MEGABYTES:g} MB)'),
            ('files', f'{written:.1f} MB (meant: under {FILE_MEGABYTES:g} MB)'),
        ],
    )
    keep(
        'sheets',
        on,
        {
            'sheets': SHEETS,
            'seconds': round(done.wall, 2),
            'memory_mb': round(memory),
            'file_mb': round(written, 1),
        },
    )
    good = done.wall < SECONDS and memory < MEGABYTES and written < FILE_MEGABYTES
    return 0 if good else 1


if __name__ == '__main__':
    sys.exit(main())
