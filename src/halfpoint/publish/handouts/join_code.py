"""The code by which a phone says at which table it lies."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from urllib.parse import quote

# No vowels, so that no words come up, and nothing easily misread (0 O, 1 I L, 2 Z, 5 S, 8 B).
ALPHABET = 'CDFGHJKMNPQRTVWXY34679'
LENGTH = 6
LONGEST_PART = 48


@dataclass(frozen=True, slots=True)
class JoinCode:
    """A table's code, and what the square pattern on its card says."""

    code: str
    payload: str

    @property
    def spoken(self) -> str:
        """In two groups of three, as people read it out."""
        return f'{self.code[:3]} {self.code[3:]}'


def join_codes(tasting: str, tables: Iterable[tuple[str, int]]) -> dict[tuple[str, int], JoinCode]:
    """A code of its own for every table of a tasting.

    The code is the first six digits, to the base 22 and in the letters of `ALPHABET`, of the
    SHA-256 hash of the tasting's key, the site's key and the table's number with a line break
    between them: the same table has the same code on every printing.  Should two tables of a
    tasting come to the same code, the later takes the next six digits of its hash, and so on.
    The code names a table and keeps nothing secret.

    Args:
        tasting: key of the tasting.
        tables: key of the site and number of the table.
    """
    used: set[str] = set()
    made = {}
    for site, table in tables:
        code = next(code for code in _candidates(tasting, site, table) if code not in used)
        used.add(code)
        made[site, table] = JoinCode(code, _payload(tasting, site, table, code))
    return made


def _candidates(tasting: str, site: str, table: int) -> Iterable[str]:
    digest = hashlib.sha256('\n'.join((tasting, site, str(table))).encode()).digest()
    number = int.from_bytes(digest, 'big')
    while number:
        letters = []
        for _ in range(LENGTH):
            number, digit = divmod(number, len(ALPHABET))
            letters.append(ALPHABET[digit])
        yield ''.join(letters)


def _payload(tasting: str, site: str, table: int, code: str) -> str:
    """`halfpoint:TASTING:SITE:TABLE:CODE`; a part too long to scan well is left empty."""
    parts = [quote(part, safe='') for part in (tasting, site)]
    short = [part if len(part) <= LONGEST_PART else '' for part in parts]
    return ':'.join(('halfpoint', *short, str(table), code))
