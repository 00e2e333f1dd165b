"""Finding a score sheet by its name, or reading one from a TOML file."""

from __future__ import annotations

import os
from functools import cache
from importlib.resources import files
from pathlib import Path

from pydantic import ValidationError

from halfpoint.errors import SheetError
from halfpoint.sheet.form import Sheet
from halfpoint.sheet.toml_form import Raw, parse_toml, problems_of, read_toml, refuse
from halfpoint.sheet.words import did_you_mean

_BUILTIN = files('halfpoint.sheet') / 'builtin'


@cache
def builtin_sheets() -> tuple[str, ...]:
    """Names of the built-in sheets."""
    names = (Path(file.name) for file in _BUILTIN.iterdir())
    return tuple(sorted(name.stem for name in names if name.suffix == '.toml'))


def builtin_text(name: str) -> str:
    """The TOML text of a built-in sheet, to start one's own from.

    Raises:
        SheetError: no built-in sheet has this name.
    """
    if name not in builtin_sheets():
        raise _unknown(name)
    return (_BUILTIN / f'{name}.toml').read_text('utf-8')


def load_sheet(name_or_path: str | Path) -> Sheet:
    """The score sheet with this built-in name, or from this TOML file.

    Raises:
        SheetError: no such name, or the file says something impossible.
        FileNotReadable: the file is missing, is a folder, or may not be read.
    """
    name = str(name_or_path)
    if name in builtin_sheets():
        return _builtin(name)
    if isinstance(name_or_path, str) and not is_path(name):
        raise _unknown(name)
    return _sheet(read_toml(Path(name), SheetError), name)


def is_path(text: str) -> bool:
    """Whether text means a sheet file, not the name of a built-in sheet."""
    return text.lower().endswith('.toml') or '/' in text or os.sep in text


def _unknown(name: str) -> SheetError:
    known = builtin_sheets()
    return SheetError(
        f"no score sheet is called '{name}'",
        expected=f"one of {', '.join(known)}, or a TOML file{did_you_mean(name, known)}",
        remedy="see `halfpoint sheet --list`, or give the path of a sheet file",
    )


@cache
def _builtin(name: str) -> Sheet:
    return _sheet(parse_toml(builtin_text(name), name, SheetError), name)


def _sheet(raw: Raw, file: str) -> Sheet:
    try:
        return Sheet.model_validate(raw)
    except ValidationError as error:
        raise refuse(problems_of(error, raw, Sheet), file, SheetError) from None
