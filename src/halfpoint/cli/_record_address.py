"""Where a record lies: a path, or the same as a URL."""

from __future__ import annotations

import re
from pathlib import Path
from urllib.parse import unquote

from halfpoint.errors import UsageError

# A scheme as in RFC 3986, section 3.1; with one letter it is a drive.
_URL = re.compile(r'(?P<scheme>[A-Za-z][A-Za-z0-9+.-]+):(?P<rest>//.*|$)', re.DOTALL)
_EXPECTED = "a path, or sqlite:///PATH (sqlite:////PATH from the root)"


def record_path(text: str, where: str = "--ledger") -> Path:
    """The file that a path or a URL of SQLite names.

    Raises:
        UsageError: another database, or no file is named.
    """
    found = _URL.fullmatch(text)
    if found is None:
        return _path(text, text, where)
    scheme, rest = found['scheme'].lower(), found['rest']
    if scheme != 'sqlite':
        raise _elsewhere(scheme, where)
    if not rest.startswith('///') or '?' in rest or '#' in rest:
        raise UsageError(
            f"{text}", where=where, expected=_EXPECTED, remedy="name one file, and nothing else"
        )
    return _path(unquote(rest.removeprefix('///')), text, where)


def _path(named: str, text: str, where: str) -> Path:
    if not named.strip() or '\0' in named:
        raise UsageError(
            f"{text}" if text.strip() else "nothing", where=where, expected=_EXPECTED,
            remedy="name the file of the record",
        )  # fmt: skip
    return Path(named)


def _elsewhere(scheme: str, where: str) -> UsageError:
    # Only the scheme: an address may hold a password.
    if scheme.partition('+')[0] in {'postgres', 'postgresql'}:
        found = "PostgreSQL, in which halfpoint cannot keep a record yet"
    else:
        found = f"{scheme}://, in which halfpoint keeps no record"
    return UsageError(
        found,
        where=where,
        expected=_EXPECTED,
        remedy=(
            "name a file on a disk of this machine, or leave --ledger out; the desk gives a copy "
            "of it at any time, and halfpoint verify shows that a copy is whole"
        ),
    )
