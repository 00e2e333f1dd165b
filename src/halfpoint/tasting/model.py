"""A tasting: wines, sites, tasters, sheet and dates, as the tasting file says them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import Protocol, TypeVar

from pydantic import Field

from halfpoint.sheet.form import ONE_LINE, Number, Part, Sheet
from halfpoint.sheet.words import fold
from halfpoint.tasting.planning import Planning
from halfpoint.tasting.record_place import RecordPlace
from halfpoint.tasting.words import Count, Day, Flag, Name, Style, Sweetness


class Wine(Part):
    """A wine being judged."""

    key: Name
    """What the wine is called in tables of marks; never shown to tasters before the reveal."""
    name: Name
    """What it is called in the report."""
    style: Style | None = None
    """Its style, which decides its place in a serving order."""
    grape: str = ''
    """Its grape or grapes."""
    vintage: Count | None = Field(default=None, ge=1800, le=2200)
    """The year on the label."""
    alcohol: Number | None = Field(default=None, ge=0, le=30)
    """Alcohol in per cent by volume."""
    price: Number | None = Field(default=None, ge=0)
    """Price of a bottle, in the currency of the tasting."""
    sweetness: Sweetness | None = None
    """How sweet it tastes."""
    bottles: Count | None = Field(default=None, ge=0, le=1_000_000)
    """How many bottles are at hand, over all sites."""


class Site(Part):
    """One room with its own bottles."""

    key: Name
    """What the site is called in tables of marks."""
    name: Name
    """What it is called in the report."""
    host: str = ''
    """Who runs it."""
    place: str = ''
    """Where it is."""
    seats: Count | None = Field(default=None, ge=1, le=1000)
    """How many can sit; without it, the tasters listed here, or the plan's own number."""
    capacity: Count | None = Field(default=None, ge=2, le=60)
    """Most pours that a taster has in an evening here, second pours included."""
    pinned: tuple[Name, ...] = ()
    """Keys of wines that this site has to pour."""
    missing: tuple[Name, ...] = ()
    """Keys of wines that this site cannot pour."""


class Taster(Part):
    """One who marks. Tasters need not be listed: any name found with marks is a taster."""

    key: Name
    """What the taster is called in tables of marks."""
    name: str = ''
    """The taster's name."""
    site: str | None = None
    """Key of the site where the taster tastes."""
    member: str = ''
    """What the society calls this member every year; without it, the key."""
    consent: Flag = False
    """Whether the name may be published."""
    letter: Flag = False
    """Whether the taster agreed to get a letter after the tasting."""


class Event(Part):
    """The tasting itself."""

    key: Name
    """A short name for the tasting."""
    title: Name
    """What the tasting is called in the report."""
    sheet: str = 'twenty-point'
    """A built-in score sheet by name, or the path of a sheet file."""
    opens: Day | None = None
    """First day of tasting."""
    closes: Day | None = None
    """Last day of tasting."""
    currency: str = ''
    """What prices are in."""
    ledger: str = Field(default='', pattern=ONE_LINE)
    """Path or PostgreSQL address of the record; without it, this file's name ending in .ledger."""
    invented: Flag = False
    """Whether the tasting is made up; everything published from it then says so."""
    years: str = Field(default='', pattern=ONE_LINE)
    """Path of the record over years; with it, tasters' own figures start from their past."""
    society: str = Field(default='', pattern=ONE_LINE)
    """Path of the society's key, by which the record over years knows members."""


class Printing(Part):
    """What the papers are printed with."""

    fonts: str = Field(default='', pattern=ONE_LINE)
    """A folder of fonts, for names in letters that halfpoint's own typeface lacks."""


class Tasting(Part):
    """One event over one or many sites, with one score sheet."""

    key: str
    title: str
    invented: bool = False
    opens: date | None = None
    closes: date | None = None
    currency: str = ''
    sheet: Sheet
    wines: tuple[Wine, ...] = Field(min_length=1)
    sites: tuple[Site, ...] = ()
    tasters: tuple[Taster, ...] = ()
    plan: Planning = Planning()
    fonts: Path | None = None
    years: Path | None = None
    society: Path | None = None
    ledger: RecordPlace
    source: Path

    @property
    def beside(self) -> Path:
        """The path that pictures and uploads lie beside: the record's own, where it is a file."""
        if isinstance(self.ledger, Path):
            return self.ledger
        return self.source.with_suffix('.ledger')

    def find_wine(self, text: str) -> Wine | None:
        """The wine with this key or name; None when none or more than one has it."""
        return self._wines_by_text.get(fold(text))

    def find_site(self, text: str) -> Site | None:
        """The site with this key or name; None when none or more than one has it."""
        return self._sites_by_text.get(fold(text))

    def find_taster(self, text: str) -> Taster | None:
        """The taster with this key or name; None when none or more than one has it."""
        return self._tasters_by_text.get(fold(text))

    @cached_property
    def _wines_by_text(self) -> Mapping[str, Wine]:
        return _by_text(self.wines)

    @cached_property
    def _sites_by_text(self) -> Mapping[str, Site]:
        return _by_text(self.sites)

    @cached_property
    def _tasters_by_text(self) -> Mapping[str, Taster]:
        return _by_text(self.tasters)


class _Named(Protocol):
    @property
    def key(self) -> str: ...
    @property
    def name(self) -> str: ...


Found = TypeVar('Found', bound=_Named)


def _by_text(parts: Iterable[Found]) -> dict[str, Found]:
    """Folded key or name to part: a key always wins, a name only when no other has it."""
    parts = tuple(parts)
    uses = Counter(fold(part.name) for part in parts)
    names = {fold(part.name): part for part in parts if part.name and uses[fold(part.name)] == 1}
    return names | {fold(part.key): part for part in parts}
