"""Reading the tasting file."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

from pydantic import Field, ValidationError

from halfpoint.errors import InputError, TastingFileError, UsageError
from halfpoint.sheet.form import Part, Sheet
from halfpoint.sheet.load import is_path, load_sheet
from halfpoint.sheet.toml_form import Problem, Raw, problems_of, read_toml, refuse
from halfpoint.sheet.words import did_you_mean, fold
from halfpoint.tasting.model import Event, Printing, Site, Taster, Tasting, Wine
from halfpoint.tasting.planning import Planning
from halfpoint.tasting.record_place import Database, RecordPlace, record_place


class TastingFile(Part):
    """The tables of a tasting file."""

    tasting: Event
    wine: tuple[Wine, ...] = Field(min_length=1)
    site: tuple[Site, ...] = ()
    taster: tuple[Taster, ...] = ()
    plan: Planning = Planning()
    print: Printing = Printing()


def load_tasting(path: str | Path, *, folder: Path | None = None) -> Tasting:
    """Read a tasting file; paths in it are taken from its own folder, or from `folder`.

    Raises:
        TastingFileError: it says something impossible; all problems are listed.
        FileNotReadable: it is missing, is a folder, or may not be read.
    """
    path = Path(path)
    folder = folder or path.parent
    raw = read_toml(path, TastingFileError)
    problems = [
        *_repeated_keys(raw),
        *_unknown_sites(raw),
        *_closing_first(raw),
    ]
    form = _form(raw, problems)
    sheet = _sheet(raw, folder, problems)
    ledger = _ledger(raw, folder / path.name, problems)
    if form is None or sheet is None or ledger is None or problems:
        raise refuse(problems, str(path), TastingFileError)
    event = form.tasting
    return Tasting(
        **event.model_dump(exclude={'sheet', 'ledger', 'years', 'society'}),
        sheet=sheet,
        wines=form.wine,
        sites=form.site,
        tasters=form.taster,
        plan=form.plan,
        fonts=folder / form.print.fonts if form.print.fonts else None,
        years=folder / event.years if event.years else None,
        society=folder / event.society if event.society else None,
        ledger=ledger,
        source=path,
    )


def tasting_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of a tasting file."""
    return {
        '$schema': 'https://json-schema.org/draft/2020-12/schema',
        **TastingFile.model_json_schema(mode='validation'),
    }


def _form(raw: Raw, problems: list[Problem]) -> TastingFile | None:
    try:
        return TastingFile.model_validate(raw)
    except ValidationError as error:
        problems.extend(problems_of(error, raw, TastingFile))
        return None


def _sheet(raw: Raw, folder: Path, problems: list[Problem]) -> Sheet | None:
    name = _table(raw, 'tasting').get('sheet', Event.model_fields['sheet'].default)
    if not isinstance(name, str):
        return None
    try:
        return load_sheet(folder / name if is_path(name) else name)
    except InputError as error:
        where = f"{error.where}: " if error.where else ""
        expected = error.expected or "a sheet that can be read"
        problems.append(Problem("tasting, key sheet", f"{where}{error.found}", expected))
        return None


def _ledger(raw: Raw, path: Path, problems: list[Problem]) -> RecordPlace | None:
    """Where the record lies; beside the file at `path` unless it says otherwise."""
    where, named = "tasting, key ledger", _table(raw, 'tasting').get('ledger', '')
    if not isinstance(named, str):
        return None
    try:
        place = record_place(named or f'{path.stem}.ledger', where)
    except UsageError as error:
        problems.append(Problem(where, error.found, error.expected))
        return None
    if isinstance(place, Database):
        if place.password:
            # Whoever gets the file, by mail or from a copy, would get the password too.
            expected = "none in this file; it can stand in ~/.pgpass or PGPASSWORD"
            problems.append(Problem(where, "an address with a password", expected))
        return place
    if path.parent / place == path:
        expected = "a file of its own for the record"
        problems.append(Problem(where, f"'{named}', which is this file", expected))
    return path.parent / place


def _table(raw: Raw, name: str) -> Raw:
    table = raw.get(name)
    return table if isinstance(table, dict) else {}


def _rows(raw: Raw, name: str) -> Iterator[tuple[int, str, Raw]]:
    """Place, key and table of each well-formed `[[name]]`."""
    tables = raw.get(name)
    for place, row in enumerate(tables if isinstance(tables, list) else [], start=1):
        if isinstance(row, dict) and isinstance(row.get('key'), str):
            yield place, row['key'], row


def _repeated_keys(raw: Raw) -> Iterator[Problem]:
    for name in ('wine', 'site', 'taster'):
        seen: dict[str, int] = {}
        for place, key, _ in _rows(raw, name):
            first = seen.setdefault(fold(key), place)
            if first != place:
                expected = f"a key of its own; {name} {first} has it already"
                yield Problem(f"{name} {place} '{key}', key key", f"'{key}' again", expected)


def _unknown_sites(raw: Raw) -> Iterator[Problem]:
    known = {key: place for place, key, _ in _rows(raw, 'site')}
    for place, key, row in _rows(raw, 'taster'):
        site = row.get('site')
        if isinstance(site, str) and site not in known:
            expected = f"the key of a [[site]] in this file{did_you_mean(site, known)}"
            yield Problem(f"taster {place} '{key}', key site", f"'{site}'", expected)


def _closing_first(raw: Raw) -> Iterator[Problem]:
    opens, closes = (_table(raw, 'tasting').get(key) for key in ('opens', 'closes'))
    if type(opens) is type(closes) is date and closes < opens:
        yield Problem("tasting, key closes", str(closes), f"{opens} or later, when it opens")
