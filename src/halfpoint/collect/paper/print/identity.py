"""Who a page belongs to, as 24 digits that stand on it twice.

    1     kind: 1 a seat's own sheet, 2 a spare
    1     wines a page
    5     tasting: SHA-256 of its key
    4     site: its place in the tasting file, from 1
    4     seat, or number of the spare
    2     page of that seat, from 1
    6     check: SHA-256 of the whole identity, the form and the blind codes printed on the page
    1     Damm's check digit of the 23 before it

A hash stands for the number it is, written to the base 10, its last digits.  The check digit
finds misread digits.  The check tells a page of another plan, form or tasting: a page is taken
only when its 24 digits are exactly those that this plan would print, so that a site that has
moved in the file, or a seat that was given other codes, is never mistaken for another.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from halfpoint.collect.paper.print.damm import check_digit, is_sound

PERSONAL, SPARE = '1', '2'
LENGTH = 24
MOST_SITES = MOST_SEATS = 9999
MOST_PAGES = 99


@dataclass(frozen=True, slots=True)
class Identity:
    """What a page says of itself. `number` is the seat, or that of the spare."""

    kind: str
    wines_a_page: int
    tasting: str
    site: str
    site_number: int
    number: int
    page: int
    form: str
    codes: tuple[str, ...] = ()

    @property
    def payload(self) -> str:
        """The 24 digits."""
        digits = (
            f'{self.kind}{self.wines_a_page}{_hashed(5, self.tasting)}'
            f'{self.site_number:04}{self.number:04}{self.page:02}{self._check()}'
        )
        return digits + check_digit(digits)

    def _check(self) -> str:
        said = (self.kind, self.wines_a_page, self.tasting, self.site, self.site_number)
        return _hashed(6, *said, self.number, self.page, self.form, *self.codes)


@dataclass(frozen=True, slots=True)
class Stated:
    """What 24 digits say, before they are held against a plan."""

    kind: str
    wines_a_page: int
    tasting: str
    site_number: int
    number: int
    page: int
    check: str


def stated(payload: str) -> Stated | None:
    """The parts of a payload; None when it is no payload or a digit is wrong."""
    if len(payload) != LENGTH or not (payload.isascii() and payload.isdigit()):
        return None
    if not is_sound(payload) or payload[0] not in PERSONAL + SPARE:
        return None
    return Stated(
        kind=payload[0],
        wines_a_page=int(payload[1]),
        tasting=payload[2:7],
        site_number=int(payload[7:11]),
        number=int(payload[11:15]),
        page=int(payload[15:17]),
        check=payload[17:23],
    )


def spoken(payload: str) -> str:
    """In groups of four, as people read it out."""
    return ' '.join(payload[at : at + 4] for at in range(0, len(payload), 4))


def _hashed(digits: int, *parts: object) -> str:
    text = '\n'.join(map(str, parts))
    number = int.from_bytes(hashlib.sha256(text.encode()).digest(), 'big')
    return f'{number % 10**digits:0{digits}}'
