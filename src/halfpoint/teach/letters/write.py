"""All letters of a tasting into a folder, with a list to mail them by."""

from __future__ import annotations

import os
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path, PurePath
from types import MappingProxyType
from typing import Literal

import polars as pl

from halfpoint.errors import NotInLedger
from halfpoint.estimate.findings import Findings
from halfpoint.ledger.consent import who_want_letters
from halfpoint.ledger.replay import State
from halfpoint.ledger.view import set_aside_entries
from halfpoint.publish.export.tables import csv_text
from halfpoint.publish.from_record import site_names, wine_names
from halfpoint.publish.handouts.shelf import filling
from halfpoint.tasting.in_print import names_of_sheet, names_of_tasting, typefaces_for_names
from halfpoint.tasting.model import Tasting
from halfpoint.teach.letters.group import Group, Mark, group_of, mark_of
from halfpoint.teach.letters.host import host_letter
from halfpoint.teach.letters.maker import maker_letter
from halfpoint.teach.letters.names import FOLDERS, with_names
from halfpoint.teach.letters.pages import Frame, Paper, letter_pdf
from halfpoint.teach.letters.said import Letter
from halfpoint.teach.letters.taster import taster_letter
from halfpoint.teach.own_past import Before
from halfpoint.typeface.letters import one_line

Kind = Literal['taster', 'host', 'maker']
Progress = Callable[[int, int], None]

KINDS: tuple[Kind, ...] = ('taster', 'host', 'maker')
LIST = 'letters.csv'
_LONGEST_NAME = 60


@dataclass(frozen=True, slots=True)
class Unwritten:
    """Who gets no letter, by count."""

    without_consent: int
    without_marks: int
    wines_with_few_marks: int


@dataclass(frozen=True, slots=True)
class Written:
    """The letters that were written, who got none, and letters of an earlier run still there."""

    files: tuple[Path, ...]
    kinds: Mapping[Kind, int]
    unwritten: Unwritten
    old: tuple[Path, ...]


def check_revealed(tasting: Tasting, state: State) -> None:
    """Refuse letters before the reveal: they say which wine is which.

    Raises:
        NotInLedger: the wines were not revealed yet.
    """
    if state.revealed is None:
        raise NotInLedger(
            "the wines are not revealed yet, and letters say which wine was which",
            where=str(tasting.ledger),
            expected="a record with the reveal in it",
            remedy=f"halfpoint reveal {tasting.source} --who NAME, when everything is home",
        )


def compose_letters(
    tasting: Tasting,
    state: State,
    frame: pl.DataFrame,
    findings: Findings,
    *,
    kinds: Collection[Kind] = KINDS,
    least: int = 5,
    past: Mapping[str, tuple[Before, ...]] = MappingProxyType({}),
) -> tuple[tuple[Letter, ...], Unwritten]:
    """The letters as data, and who gets none.

    Args:
        tasting: the tasting file; says who agreed, unless the record does.
        state: how its record stands, after the reveal.
        frame: the entries that count, as `marks_of_state` gives them.
        findings: the result, with what too few marked left out.
        kinds: to whom.
        least: how few marks are too few to say anything of a wine or a room.
        past: levels at earlier tastings, by what the result calls a taster.

    Raises:
        NotInLedger: the wines were not revealed yet.
    """
    check_revealed(tasting, state)
    group = group_of(tasting.sheet, tasting.title, frame, findings, least=least, past=past)
    aside = _aside(tasting, state)
    tasters = list(_to_tasters(tasting, state, group, aside)) if 'taster' in kinds else []
    hosts = list(_to_hosts(tasting, group)) if 'host' in kinds else []
    makers = list(_to_makers(tasting, group)) if 'maker' in kinds else []
    written = [letter for letter in makers if letter is not None]
    agreed = {
        state.called.get(taster.key, taster.key) for taster in who_want_letters(tasting, state)
    }
    listed = {state.called.get(t.key, t.key) for t in tasting.tasters}
    unwritten = Unwritten(
        without_consent=len((group.marks.keys() | aside.keys() | listed) - agreed),
        without_marks=len(agreed - group.marks.keys() - aside.keys()),
        wines_with_few_marks=len(makers) - len(written),
    )
    return (*tasters, *hosts, *written), unwritten


def _to_tasters(
    tasting: Tasting, state: State, group: Group, aside: dict[str, list[Mark]]
) -> Iterator[Letter]:
    for taster in who_want_letters(tasting, state):
        called = state.called.get(taster.key, taster.key)
        own = aside.get(called, [])
        if called in group.marks or own:
            name = one_line(taster.name or taster.key, _LONGEST_NAME)
            yield taster_letter(group, taster.key, name, called, own)


def _to_hosts(tasting: Tasting, group: Group) -> Iterator[Letter]:
    names = site_names(tasting)
    for site in tasting.sites:
        marks = group.by_site.get(names[site.key], ())
        if marks:
            host = one_line(site.host, _LONGEST_NAME)
            yield host_letter(group, site.key, names[site.key], host, marks)


def _to_makers(tasting: Tasting, group: Group) -> Iterator[Letter | None]:
    names = wine_names(tasting)
    for wine in tasting.wines:
        yield maker_letter(group, wine.key, names[wine.key])


def _aside(tasting: Tasting, state: State) -> dict[str, list[Mark]]:
    """Taster to entries left out, wines and sites by name."""
    wines, sites = wine_names(tasting), site_names(tasting)
    found: dict[str, list[Mark]] = {}
    for row in set_aside_entries(state).iter_rows(named=True):
        mark = mark_of(row, tasting.sheet)
        named = replace(
            mark, wine=wines.get(mark.wine, mark.wine), site=sites.get(mark.site, mark.site)
        )
        found.setdefault(mark.taster, []).append(named)
    return found


def write_letters(
    letters: Sequence[Letter],
    tasting: Tasting,
    into: Path,
    *,
    unwritten: Unwritten,
    paper: Paper = 'a4',
    fonts: Path | None = None,
    progress: Progress = lambda _done, _all: None,
) -> Written:
    """Set every letter on its page and lay them into a folder with a list, all or none.

    Args:
        letters: what `compose_letters` made.
        tasting: the tasting file.
        into: the folder; made when it is not there.
        unwritten: who gets no letter; carried into the account.
        paper: the paper to print on.
        fonts: a folder of fonts, for names in letters that the shipped typeface lacks.
        progress: told how many letters of how many are set.

    Raises:
        InputError: there are names with letters that no typeface has; all are told.
        DiskFull: no space was left; what lay there before still does.
        OutputError: the folder could not be written for another reason.
    """
    named = list(with_names(letters))
    people = {letter.key for letter in letters if letter.kind == 'taster'}
    sites = {site.key for site in tasting.sites}
    names = [
        *names_of_tasting(tasting, sites, people, wines=True),
        *names_of_sheet(tasting.sheet),
    ]
    with typefaces_for_names(names, tasting, fonts) as typefaces, filling(into) as shelf:
        shared = Frame(tasting.title, tasting.invented, tasting.sheet, paper, typefaces)
        for count, (file, pdf) in enumerate(_set(named, shared), start=1):
            shelf.put(file, pdf)
            progress(count, len(named))
        shelf.put(PurePath(LIST), _list(named).encode('utf-8'))
    files = tuple(into / file for file, _ in named)
    kinds = {kind: sum(letter.kind == kind for letter in letters) for kind in KINDS}
    return Written((*files, into / LIST), kinds, unwritten, _old(into, files))


def _set(
    named: Sequence[tuple[PurePath, Letter]], frame: Frame
) -> Iterator[tuple[PurePath, bytes]]:
    """Letters set on several threads; Typst works outside Python's lock."""
    with ThreadPoolExecutor(min(8, os.cpu_count() or 1)) as pool:
        waiting = pool.map(lambda each: (each[0], letter_pdf(each[1], frame)), named)
        try:
            yield from waiting
        finally:
            pool.shutdown(cancel_futures=True)


def _list(named: Iterable[tuple[PurePath, Letter]]) -> str:
    """The merge list: whom each file is for."""
    header = ('letter', 'key', 'name', 'site', 'file')
    rows = (
        (letter.kind, letter.key, letter.name, letter.site, file.as_posix())
        for file, letter in named
    )
    return csv_text(header, rows)


def _old(into: Path, files: Sequence[Path]) -> tuple[Path, ...]:
    """Letters of an earlier run that this one did not renew."""
    ours = (path for folder in FOLDERS.values() for path in (into / folder).glob('*.pdf'))
    return tuple(sorted(set(ours) - set(files)))
