"""The documentation says what the code does."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
import typer
from repository import ROOT, kept_files

from halfpoint.cli.main import COMMANDS, app
from reference import pages

GROUP = typer.main.get_group(app)
SITE = tomllib.loads((ROOT / 'zensical.toml').read_text(encoding='utf-8'))['project']


def _parameters() -> Iterator[tuple[str, str, str | None]]:
    for name, command in GROUP.commands.items():
        for parameter in command.params:
            yield name, parameter.name, getattr(parameter, 'help', None)


@pytest.mark.parametrize('path', pages(), ids=lambda path: path.name)
def test_reference_pages_are_fresh(path: Path) -> None:
    """Pages made from the code say what the code says now (mend with `make docs`)."""
    assert pages()[path] == path.read_text(encoding='utf-8')


@pytest.mark.parametrize('name', COMMANDS)
def test_every_command_has_help(name: str) -> None:
    """Each command says in a sentence what it does."""
    assert (GROUP.commands[name].help or '').strip()


def test_every_option_has_help() -> None:
    """No argument or option of any command is left without a word of help."""
    assert [] == [(command, option) for command, option, said in _parameters() if not said]


def test_every_command_is_named_in_the_pages_people_read() -> None:
    """Each command is told of in a tutorial, a how-to or an explanation, not only listed."""
    told = ''.join(
        path.read_text(encoding='utf-8')
        for path in kept_files()
        if path.suffix == '.md' and 'reference' not in path.parts
    )
    assert [] == [name for name in COMMANDS if f'halfpoint {name}' not in told]


def test_every_page_is_in_the_navigation() -> None:
    """A page that the navigation does not lead to would be lost."""
    docs = ROOT / 'docs'
    there = {path.relative_to(docs).as_posix() for path in docs.rglob('*.md')}
    assert there == set(_leaves(SITE['nav']))


def _leaves(nav: object) -> Iterator[str]:
    if isinstance(nav, str):
        yield nav
    else:
        for item in nav.values() if isinstance(nav, dict) else nav:
            yield from _leaves(item)


def test_documentation_asks_no_third_party() -> None:
    """The pages fetch no typeface from anywhere; what they show is served beside them."""
    assert SITE['theme']['font'] is False
    assert not any(str(item).startswith('http') for item in SITE.get('extra_css', []))
    assert not any(str(item).startswith('http') for item in SITE.get('extra_javascript', []))
