"""The score sheet of the tasting as text: a built-in one, or a file of one's own beside it."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from halfpoint.errors import SheetError, UsageError
from halfpoint.serve.desk.tasting_file import Text, write_text
from halfpoint.sheet.form import Sheet
from halfpoint.sheet.load import builtin_text, is_path
from halfpoint.sheet.toml_form import parse_toml, problems_of, refuse
from halfpoint.tasting.model import Event

USUAL = str(Event.model_fields['sheet'].default)


@dataclass(frozen=True, slots=True)
class SheetText:
    """A sheet as text. `name` is as in the tasting file; `own` when it is a file."""

    name: str
    own: bool
    text: str
    digest: str


def sheet_of(tasting_file: Path) -> SheetText:
    """The sheet that the tasting file names; the usual one while there is no tasting file.

    Raises:
        FileNotReadable: it cannot be read.
        SheetError: no built-in sheet has this name.
    """
    name = _named(Text.of(tasting_file).text)
    if not is_path(name):
        return SheetText(name, False, builtin_text(name), '')
    found = Text.of(tasting_file.parent / name)
    return SheetText(name, True, found.text, found.digest)


def check_sheet(text: str, name: str) -> Sheet:
    """The score sheet that a text makes.

    Raises:
        SheetError: it makes none; all that is wrong is told.
    """
    raw = parse_toml(text, name, SheetError)
    try:
        return Sheet.model_validate(raw)
    except ValidationError as error:
        raise refuse(problems_of(error, raw, Sheet), name, SheetError) from None


def write_sheet(text: str, path: Path, base: str, tasting_file: Path) -> None:
    """Keep the text of a sheet; never in place of the tasting file.

    Raises:
        UsageError: it would be the tasting file.
        Refused: 409, the file has changed meanwhile.
        DiskFull, OutputError: nothing was written.
    """
    if path.resolve() == tasting_file.resolve():
        raise UsageError(
            f"{path.name}, which is the tasting file",
            where="name",
            expected="a name of its own for the score sheet",
        )
    write_text(text, path, base)


def _named(text: str) -> str:
    try:
        raw: dict[str, Any] = tomllib.loads(text)
    except (ValueError, RecursionError):
        return USUAL
    event = raw.get('tasting')
    name = event.get('sheet', USUAL) if isinstance(event, dict) else USUAL
    return name if isinstance(name, str) else USUAL
