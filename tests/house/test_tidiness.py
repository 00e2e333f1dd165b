"""What the repository keeps, and what it must not."""

from __future__ import annotations

import ast
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from repository import ROOT, kept_files, text_of

# Put together from pieces, so that this file does not hold what it looks for.
PLACES = [
    ''.join(pieces)
    for pieces in (
        ('/wo', 'rk/'), ('/ro', 'ot/'), ('/ho', 'me/'), ('/Us', 'ers/'), ('C:', '\\Users'),
        ('pypi', '.org'), ('python', 'hosted'), ('npm', 'js.org'), ('deb.', 'debian.org'),
        ('github', 'usercontent'), ('crates', '.io'), ('files.', 'python'), ('r-pro', 'ject.org'),
        ('file:', '///'),
    )
]  # fmt: skip
FRAGMENT = re.compile(r'\d+(-[a-z0-9-]+)?\.(added|changed|fixed|removed)\.md')


def _tests() -> Iterator[tuple[Path, ast.FunctionDef | ast.AsyncFunctionDef]]:
    for path in sorted((ROOT / 'tests').rglob('test_*.py')):
        for node in ast.walk(ast.parse(path.read_text(encoding='utf-8'))):
            is_function = isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
            if is_function and node.name.startswith('test_'):
                yield path.relative_to(ROOT), node


@pytest.mark.parametrize('place', PLACES)
def test_no_file_names_a_machine_or_a_registry(place: str) -> None:
    """No file of the repository holds a path of one machine or an address of a registry."""
    found = [
        path.relative_to(ROOT).as_posix()
        for path in kept_files()
        if place.casefold() in (text_of(path) or '').casefold()
    ]
    assert [] == found


def test_every_test_says_what_it_shows() -> None:
    """Each test has a docstring of one line that states the behaviour."""
    without = [
        f'{path}::{node.name}'
        for path, node in _tests()
        if len((ast.get_docstring(node) or '').splitlines()) != 1
    ]
    assert [] == without


def test_most_files_are_short() -> None:
    """At least 19 of 20 source files have fewer than 400 lines, and none has 800."""
    lines = {
        path.relative_to(ROOT).as_posix(): len(path.read_text(encoding='utf-8').splitlines())
        for path in (ROOT / 'src').rglob('*.py')
    }
    long = {name: count for name, count in lines.items() if count >= 400}
    assert len(long) <= len(lines) / 20, long
    assert {} == {name: count for name, count in long.items() if count >= 800}


def test_most_functions_are_short() -> None:
    """At least 9 of 10 functions in src have fewer than 25 lines, docstring not counted."""
    lengths = {
        f'{path.relative_to(ROOT)}::{node.name}': _own_lines(node)
        for path in (ROOT / 'src').rglob('*.py')
        for node in ast.walk(ast.parse(path.read_text(encoding='utf-8')))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
    }
    long = {name: count for name, count in lengths.items() if count >= 25}
    assert len(long) <= len(lengths) / 10, long


def _own_lines(node: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    body = node.body[1:] if ast.get_docstring(node) is not None else node.body
    return (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0


def test_parts_are_pinned_by_name_and_version_alone() -> None:
    """constraints.txt has a name and a version on each line, and nothing else."""
    lines = (ROOT / 'constraints.txt').read_text(encoding='utf-8').splitlines()
    assert [] == [line for line in lines if not re.fullmatch(r'[\w.-]+==[\w.+!-]+', line)]


def test_every_part_that_is_asked_for_is_pinned() -> None:
    """Each part named in pyproject.toml, for running or for building, has a pinned version."""
    with (ROOT / 'pyproject.toml').open('rb') as stream:
        project = tomllib.load(stream)
    asked = [
        *project['project']['dependencies'],
        *(part for extra in project['project']['optional-dependencies'].values() for part in extra),
        *project['dependency-groups']['dev'],
    ]
    pinned = (ROOT / 'constraints.txt').read_text(encoding='utf-8').splitlines()
    names = {_name(line) for line in pinned} | {'halfpoint'}
    assert [] == [part for part in asked if _name(part) not in names]


def _name(requirement: str) -> str:
    return re.sub(r'[-_.]+', '-', re.split(r'[\[<>=!~; ]', requirement)[0]).casefold()


def test_changelog_fragments_are_well_formed() -> None:
    """Each fragment is named ISSUE.KIND.md, so that towncrier finds it, and says something."""
    fragments = [path for path in (ROOT / 'changelog.d').iterdir() if path.name != '.gitignore']
    assert [] == [path.name for path in fragments if not FRAGMENT.fullmatch(path.name)]
    assert [] == [path.name for path in fragments if not path.read_text(encoding='utf-8').strip()]
