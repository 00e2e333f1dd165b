"""Figures with what they were measured on, printed as a table and kept in bench/figures/."""

from __future__ import annotations

import json
import os
import platform
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from importlib.metadata import version
from pathlib import Path

FOLDER = Path(__file__).parents[1] / 'figures'
LIBRARIES = ('halfpoint', 'numpy', 'scipy', 'polars')


def machine() -> dict[str, object]:
    """Processor, cores, memory, load, system and versions."""
    return {
        'date': datetime.now(tz=UTC).date().isoformat(),
        'processor': _processor(),
        'cores': os.cpu_count(),
        'memory_gb': round(os.sysconf('SC_PAGE_SIZE') * os.sysconf('SC_PHYS_PAGES') / 1e9, 1),
        'load_at_start': round(os.getloadavg()[0], 2),
        'system': f'{platform.system()} {platform.machine()}',
        'python': platform.python_version(),
        **{name: version(name) for name in LIBRARIES},
    }


def _processor() -> str:
    information = Path('/proc/cpuinfo')
    if information.exists():
        for line in information.read_text().splitlines():
            if line.startswith('model name'):
                return line.partition(':')[2].strip()
    return platform.processor() or 'unknown'


def keep(name: str, on: Mapping[str, object], figures: Mapping[str, object]) -> None:
    """Write the figures of one bench to bench/figures/NAME.json."""
    FOLDER.mkdir(exist_ok=True)
    text = json.dumps({'measured_on': on, 'figures': figures}, indent=2, ensure_ascii=False)
    (FOLDER / f'{name}.json').write_text(text + '\n', encoding='utf-8')


def print_table(title: str, rows: Sequence[tuple[str, str]]) -> None:
    """A title and one line a figure."""
    width = max(len(label) for label, _ in rows)
    print(title)
    for label, value in rows:
        print(f'  {label:<{width}}  {value}')


def describe(on: Mapping[str, object]) -> str:
    """The machine in one line."""
    size = f'{on["cores"]} cores, {on["memory_gb"]} GB, load {on["load_at_start"]}'
    return f'{on["processor"]}, {size}, Python {on["python"]}, {on["date"]}'
