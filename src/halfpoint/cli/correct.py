"""`halfpoint correct`: an entry reads otherwise from now on."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Annotated, Any

import typer

from halfpoint.cli._record import TastingFile, Who, Why, open_record

if TYPE_CHECKING:
    from halfpoint.tasting.model import Tasting


def command(
    tasting_file: TastingFile,
    entry: Annotated[int, typer.Argument(metavar="ENTRY", help="The entry's number.")],
    changes: Annotated[
        list[str],
        typer.Option("--set", metavar="FIELD=VALUE", help="aroma=4½, position=3, terms=lemon,hay"),
    ],
    who: Who,
    why: Why,
) -> None:
    """Correct an entry. What it read before stays in the record, with who changed it and why."""
    from halfpoint.cli._planned import follow_code
    from halfpoint.ledger.changes import correct
    from halfpoint.ledger.contradiction import differences
    from halfpoint.ledger.replay import replay
    from halfpoint.tasting.load import load_tasting

    tasting = load_tasting(tasting_file)
    values = dict(_change(tasting, text) for text in changes)
    with open_record(tasting) as ledger:
        by_code = follow_code(tasting, replay(ledger.records()), entry, values)
        before, after = correct(ledger, tasting.sheet, entry, values, who=who, why=why)
    pour = f"code {after.code}" if by_code else after.wine
    typer.echo(f"Entry {entry}, {after.taster} for {pour}, now reads:")
    for field, was, now in differences(before, after):
        if not (by_code and field == 'wine'):
            typer.echo(f"  {field}: {now} (was {was})")


def _change(tasting: Tasting, text: str) -> tuple[str, Any]:
    from halfpoint.errors import UsageError

    name, equals, value = (part.strip() for part in text.partition('='))
    if not (equals and name):
        raise UsageError(f"'{text}'", where="--set", expected="field=value, as in aroma=4.5")
    name = _SHORT.get(name, name)
    return name, _value(tasting, name, value)


_SHORT = {
    'finish': 'finish_seconds', 'band': 'finish_band',
    'fault': 'faults', 'term': 'terms', 'family': 'families',
}  # fmt: skip


def _value(tasting: Tasting, name: str, value: str) -> Any:
    from halfpoint.collect.table.known_names import known_site, known_taster, known_wine
    from halfpoint.sheet.words import split_words

    known = {'taster': known_taster, 'wine': known_wine, 'site': known_site}
    if name in known:
        return known[name](tasting, value) if value else ''
    if name in tasting.sheet.categories_by_key or name == 'finish_seconds':
        return _number(name, value)
    if name == 'position':
        return _position(value)
    if name in ('terms', 'faults', 'families', 'own_words'):
        return tuple(split_words(value, re.compile('[,;]')))
    return value


def _number(name: str, value: str) -> float | None:
    from halfpoint.collect.table.marktext import read_mark
    from halfpoint.errors import UsageError

    number = read_mark(value)
    if value and number is None:
        raise UsageError(f"'{value}'", where=f"--set {name}", expected="a number, as in 4.5 or 4½")
    return number


def _position(value: str) -> int | None:
    from halfpoint.errors import UsageError

    if value and not (value.isascii() and value.isdecimal() and len(value) < 8):
        expected = "1 for the first pour, then 2, 3 and so on"
        raise UsageError(f"'{value}'", where="--set position", expected=expected)
    return int(value) if value else None
