"""Examples in README and docs run.

A block is run when an HTML comment stands before it:

    <!-- run -->            the commands after `$` end well; the output below is matched
    <!-- run: exit 14 -->   the last command ends with this code

Blocks of one page share a folder and run in order. `...` stands for any text. A page may ask
for the invented tasting with `<!-- needs: demo -->`: it is then in the folder `demo`.
"""

from __future__ import annotations

import doctest
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from repository import ROOT, kept_files

from halfpoint.demo.write import write_demo

BLOCK = re.compile(
    r'<!-- run(?:: exit (?P<code>\d+))? -->\s*\n```(?P<kind>console|python)\n(?P<body>.*?)\n```',
    re.DOTALL,
)
NEEDS_DEMO = '<!-- needs: demo -->'


@dataclass(frozen=True)
class Step:
    """One command of a page, the output it shows and the code it ends with."""

    command: list[str]
    shown: str
    code: int


def steps(text: str) -> Iterator[Step]:
    """The steps of a page's marked blocks, in order."""
    for block in BLOCK.finditer(text):
        code = int(block['code'] or 0)
        if block['kind'] == 'python':
            yield Step([sys.executable, '-W', 'error', '-c', block['body']], '', code)
            continue
        parts = re.split(r'^\$ ', block['body'], flags=re.MULTILINE)[1:]
        for number, part in enumerate(parts, start=1):
            command, _, shown = part.partition('\n')
            yield Step(['sh', '-c', command], shown, code if number == len(parts) else 0)


def _matches(shown: str, said: str) -> bool:
    flags = doctest.ELLIPSIS | doctest.NORMALIZE_WHITESPACE
    # The checker turns letters beyond ASCII into escapes before it looks at blanks.
    said = said.replace('\u00a0', ' ')
    return doctest.OutputChecker().check_output(shown + '\n', said, flags)


def _pages() -> list[Path]:
    marked = (path for path in kept_files() if path.suffix == '.md')
    return [path for path in marked if BLOCK.search(path.read_text(encoding='utf-8'))]


@pytest.mark.parametrize('page', _pages(), ids=lambda path: path.relative_to(ROOT).as_posix())
def test_examples_run(page: Path, tmp_path: Path) -> None:
    """Every marked example of the page does what the page shows."""
    text = page.read_text(encoding='utf-8')
    if NEEDS_DEMO in text:
        write_demo(tmp_path / 'demo', seed=1)
    place = os.environ | {
        'PATH': f'{Path(sys.executable).parent}{os.pathsep}{os.environ["PATH"]}',
        'COLUMNS': '100',
        'NO_COLOR': '1',
    }
    for step in steps(text):
        told = subprocess.run(
            step.command, cwd=tmp_path, env=place, capture_output=True, text=True, check=False
        )
        said = told.stdout + told.stderr
        assert step.code == told.returncode, f'{step.command}\n{said}'
        if step.shown:
            assert _matches(step.shown, said), f'shown:\n{step.shown}\nsaid:\n{said}'


def test_a_page_that_shows_the_wrong_thing_is_caught() -> None:
    """The reader of examples finds commands, output and codes, and tells unlike output."""
    page = '<!-- run: exit 3 -->\n```console\n$ echo one\none\n$ exit 3\n```\n'
    assert [(['sh', '-c', 'echo one'], 'one\n', 0), (['sh', '-c', 'exit 3'], '', 3)] == [
        (step.command, step.shown, step.code) for step in steps(page)
    ]
    assert _matches('a ... c', 'a b\nc\n')
    assert not _matches('one', 'two\n')
