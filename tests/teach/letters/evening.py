"""An invented evening with all kinds of tasters, revealed, and the letters it gives."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import closing
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np
import pypdfium2
from typer.testing import CliRunner

from halfpoint.cli._letters import composed
from halfpoint.cli.main import app
from halfpoint.teach.letters.said import Letter
from halfpoint.teach.letters.write import KINDS, Unwritten

WINES = ('Ossel Hill', 'Brack Lane', 'Corn Quay', 'Dunmere', 'Elder Bank', 'Fenny Rise')
SITES = ('north', 'south', 'east')
HEADER = (
    'Taster,Site,Wine,Position,Code,Appearance,Aroma,Taste,Aftertaste,Overall,Aromas,Faults,'
    'Finish (s)'
)
CALLED = {
    't00': "Ann Abel", 't01': "Ann Abel", 't02': "../../etc: con", 't03': "CON", 't04': "",
    't05': "=cmd|x", 't06': "Ann-Sophie O'Hara, Jr.", 't07': "É. Ünal",
}  # fmt: skip
SAME, ONE, ASIDE, TWICE = 't05', 't06', 't07', 't00'
UNMARKED, DISAGREED, SEVERE = 't90', 't08', 't09'
SPOILED = ('south', 3)


def taster(number: int) -> str:
    """Key of a taster."""
    return f't{number:02d}'


def tasting_file(*, agreed: bool = True) -> str:
    """The tasting file; one taster has not agreed, or none has."""
    parts = ['[tasting]\nkey = "spring"\ntitle = "Spring whites"\ninvented = true']
    parts += [f'[[site]]\nkey = "{s}"\nname = "{s.title()} room"\nhost = "H. {s}"' for s in SITES]
    parts += [f'[[wine]]\nkey = "w{n}"\nname = "{name}"' for n, name in enumerate(WINES)]
    for number in (*range(24), 90):
        key = taster(number)
        letter = str(agreed and key != DISAGREED).lower()
        parts.append(
            f'[[taster]]\nkey = "{key}"\nname = "{CALLED.get(key, f"Taster {number}")}"\n'
            f'site = "{SITES[number % 3]}"\nletter = {letter}'
        )
    return '\n'.join(parts) + '\n'


def table() -> str:
    """Marks of 24 tasters, later wines lower; see the names above for who is unlike the rest."""
    rng = np.random.default_rng(3)
    lines = [HEADER]
    for number in range(24):
        key, site = taster(number), SITES[number % 3]
        wines = range(1) if key == ONE else range(6)
        lines += [_line(rng, key, site, wine, wine) for wine in wines]
        if key == TWICE:
            lines.append(_line(rng, key, site, 0, 6))
    return '\n'.join(lines) + '\n'


def _line(rng: np.random.Generator, key: str, site: str, wine: int, place: int) -> str:
    marks = np.array([3, 5, 5, 2.5, 1.5]) - np.array([0, 0.3, 0.3, 0.15, 0.1]) * wine
    marks = marks + rng.normal(0, 0.35, 5)
    if key == SEVERE:
        marks -= (0, 1.2, 1.2, 0.6, 0.5)
    if (site, wine) == SPOILED:
        marks -= (0, 2.5, 2.0, 1.0, 0.5)
    marks = np.clip(np.round(2 * marks) / 2, 0, (3, 6, 6, 3, 2))
    if key == SAME:
        marks = np.array([3, 4.5, 4.5, 2, 1.5])
    aromas = 'lemon; pear' if wine == 0 else 'plum' if rng.random() < 0.5 else 'fig'
    if key == TWICE and wine == 1:
        aromas = 'smoke'
    told = ','.join(f'{mark:g}' for mark in marks)
    return f'{key},{site},w{wine},{place + 1},{100 + place},{told},{aromas},,{14 + wine}'


def command(folder: Path, *said: str) -> str:
    """What a command says about the tasting in a folder."""
    name, *rest = said
    result = CliRunner().invoke(
        app, [name, str(folder / 'tasting.toml'), *rest], catch_exceptions=False
    )
    assert 0 == result.exit_code, result.output
    return result.output


def laid_out(folder: Path, *, revealed: bool = True, agreed: bool = True) -> Path:
    """The evening in a folder: gathered, one taster set aside, revealed."""
    (folder / 'tasting.toml').write_text(tasting_file(agreed=agreed), encoding='utf-8')
    (folder / 'all.csv').write_text(table(), encoding='utf-8')
    command(folder, 'gather', str(folder / 'all.csv'))
    command(folder, 'set-aside', '--taster', ASIDE, '--who', 'Me', '--why', 'came drunk')
    if revealed:
        command(folder, 'reveal', '--who', 'Me')
    return folder / 'tasting.toml'


@cache
def letters() -> tuple[tuple[Letter, ...], Unwritten]:
    """All letters of the evening as data, composed once."""
    with TemporaryDirectory() as folder:
        _, made, unwritten = composed(laid_out(Path(folder)), KINDS, least=5, seed=20)
    return made, unwritten


def letter(key: str, kind: str = 'taster') -> Letter:
    """One of them."""
    return next(each for each in letters()[0] if (each.kind, each.key) == (kind, key))


def said(letter: Letter) -> str:
    """All that a letter says in sentences."""
    passages = (s for passage in letter.passages for s in passage.sentences)
    return ' '.join([letter.greeting, *letter.opening, *passages, letter.next_time, letter.closing])


def passage(letter: Letter, title: str) -> str:
    """What stands under a title; empty where there is none."""
    found: Sequence[Any] = [p for p in letter.passages if p.title == title]
    return ' '.join(found[0].sentences) if found else ''


def text_of(pdf: bytes) -> list[str]:
    """The text of each page."""
    with closing(pypdfium2.PdfDocument(pdf)) as document:
        return [' '.join(page.get_textpage().get_text_range().split()) for page in document]
