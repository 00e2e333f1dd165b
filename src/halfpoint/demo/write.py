"""The invented tasting as a folder that can be gathered, checked and weighed like a real one."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np
import polars as pl

from halfpoint.demo import forms, scenario
from halfpoint.demo.mishaps import Mishap, spoil
from halfpoint.demo.names import invent_names
from halfpoint.demo.sheets import InventedTasting, invent_tasting
from halfpoint.errors import UsageError
from halfpoint.writing import make_folder_safely, write_bytes_safely, write_text_safely

MARKER = "# Invented by `halfpoint demo`"

README = """\
This tasting is invented.

The league, its towns, producers, wines and tasters do not exist; the marks were drawn by
halfpoint's simulator (seed {seed}). Any likeness to anyone is chance.

tasting.toml   wines, sites and tasters
sheets/        the marks as they came home: six files in six forms, with a few human mistakes
truth.json     what the simulator put in, to hold the result against; halfpoint never reads it

Try:
  halfpoint gather tasting.toml sheets/*
  halfpoint check tasting.toml
  halfpoint results tasting.toml --report report.pdf
"""


@dataclass(frozen=True, slots=True)
class _Parcel:
    """What one helper sends: the rooms in it, its form, and what goes wrong in it."""

    file: str
    sites: slice
    form: forms.Form
    mishaps: tuple[str, ...]


_PARCELS = (
    _Parcel(
        'east-rooms.csv',
        slice(0, 5),
        forms.comma_utf8,
        ('mark off the step', 'total that is not the sum', 'same sheet twice'),
    ),
    _Parcel(
        'south-laptop.csv',
        slice(5, 9),
        forms.semicolon_windows,
        ('mark missing', 'total that is not the sum', 'wine that is not in the tasting'),
    ),
    _Parcel('west-rooms.xlsx', slice(9, 12), forms.wide_workbook, ('mark off the step',)),
    _Parcel(
        'typed-by-hand.csv',
        slice(12, 15),
        forms.typed_by_hand,
        ('mark above the top', 'mark missing'),
    ),
    _Parcel('harbour-rooms.tsv', slice(15, 17), forms.tabs_utf16, ('mark above the top',)),
    _Parcel(
        'league-app.parquet', slice(17, 20), forms.parquet, ('second sheet for the same wine',)
    ),
)


def write_demo(folder: Path, *, seed: int, again: bool = False) -> tuple[Path, ...]:
    """Write the invented tasting into `folder`.

    Args:
        folder: made when it is not there.
        seed: the same seed writes the same bytes.
        again: overwrite a tasting that an earlier run wrote; a record beside it stays.

    Returns:
        The tasting file, then the files of sheets.

    Raises:
        UsageError: the folder holds something else, or `again` was not given.
        OutputError: a file could not be written.
    """
    _look_first(folder, again)
    tasting = invent_tasting(seed)
    rng = np.random.default_rng([seed, 1])
    make_folder_safely(folder / 'sheets')
    written, mishaps = [folder / 'tasting.toml'], list[Mishap]()
    write_text_safely(written[0], _tasting_file(tasting, rng))
    for parcel in _PARCELS:
        sites = [site.key for site in scenario.SITES[parcel.sites]]
        own = tasting.sheets.filter(pl.col('site').is_in(sites))
        sheets, spoiled = spoil(rng, own, parcel.file, parcel.mishaps)
        written.append(folder / 'sheets' / parcel.file)
        write_bytes_safely(written[-1], parcel.form(sheets))
        mishaps += spoiled
    write_text_safely(folder / 'README.txt', README.format(seed=seed))
    write_text_safely(folder / 'truth.json', _truth_file(tasting, mishaps, seed))
    return tuple(written)


def _look_first(folder: Path, again: bool) -> None:
    if not folder.exists():
        return
    where = str(folder)
    if not folder.is_dir():
        raise UsageError(
            "this is a file", where=where, expected="a folder", remedy="name another place"
        )
    if not any(folder.iterdir()):
        return
    if not _is_ours(folder / 'tasting.toml'):
        raise UsageError(
            "the folder holds other things",
            where=where,
            expected="an empty folder, or one that does not exist yet",
            remedy="name another folder",
        )
    if not again:
        raise UsageError(
            "an invented tasting is here already",
            where=where,
            expected="an empty folder, or one that does not exist yet",
            remedy="name another folder, or add --again to write this one anew",
        )


def _is_ours(path: Path) -> bool:
    if not path.is_file():
        return False
    with path.open('rb') as stream:
        return stream.read(len(MARKER)) == MARKER.encode('utf-8')


def _tasting_file(tasting: InventedTasting, rng: np.random.Generator) -> str:
    return '\n'.join([f"{MARKER}: no such league, wine or taster exists.", *_tables(tasting, rng)])


def _tables(tasting: InventedTasting, rng: np.random.Generator) -> Iterator[str]:
    event = {'key': scenario.KEY, 'title': scenario.TITLE, 'sheet': 'twenty-point'}
    yield _table('[tasting]', event | {'invented': True})
    yield f'opens = {scenario.OPENS}\ncloses = {scenario.CLOSES}\n'
    for wine in scenario.WINES:
        facts = {key: value for key, value in asdict(wine).items() if key in _WINE_FACTS}
        yield _table('[[wine]]', facts | {'style': 'white', 'bottles': 2 * len(scenario.SITES)})
    hosts = invent_names(rng, len(scenario.SITES))
    for site, host in zip(scenario.SITES, hosts, strict=True):
        yield _table('[[site]]', {'key': site.key, 'name': site.name, 'host': host})
    for taster in tasting.tasters:
        yield _table('[[taster]]', asdict(taster))


_WINE_FACTS = frozenset({'key', 'name', 'grape', 'vintage', 'alcohol', 'price', 'sweetness'})


def _table(head: str, facts: Mapping[str, object]) -> str:
    """One TOML table; strings, numbers and truth values are written as JSON writes them."""
    lines = [f'{key} = {json.dumps(value, ensure_ascii=False)}' for key, value in facts.items()]
    return '\n'.join(['', head, *lines])


def _truth_file(tasting: InventedTasting, mishaps: list[Mishap], seed: int) -> str:
    plan, truth = tasting.settings, tasting.truth
    sites = [site.key for site in scenario.SITES]
    wines = [wine.key for wine in scenario.WINES]
    spoiled = plan.spoiled
    content = {
        'invented': True,
        'seed': seed,
        'wines': {
            key: round(float(total), 3)
            for key, total in zip(wines, plan.quality.sum(axis=1), strict=True)
        },
        'points_per_place': plan.order_slope,
        'spoiled': spoiled
        and {'site': sites[spoiled.site], 'wine': wines[spoiled.wine], 'points': spoiled.points},
        'rooms': dict(zip(sites, truth.room.round(3).tolist(), strict=True)),
        'severity': {
            taster.key: round(float(points), 3)
            for taster, points in zip(tasting.tasters, truth.severity, strict=True)
        },
        'mishaps': [asdict(mishap) for mishap in mishaps],
    }
    return json.dumps(content, indent=2, ensure_ascii=False) + '\n'
