"""A tasting: wines, sites, tasters, sheet and dates, as the tasting file says them."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from halfpoint.sheet.form import Sheet

Style = Literal['sparkling', 'white', 'rose', 'orange', 'red', 'sweet', 'fortified']
Sweetness = Literal['dry', 'off-dry', 'medium', 'sweet']


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra='forbid', allow_inf_nan=False)


class Wine(_Part):
    """A wine being judged. `alcohol` in per cent by volume, `price` per bottle."""

    key: str
    name: str
    style: Style | None = None
    grape: str = ''
    vintage: int | None = Field(default=None, ge=1800, le=2200)
    alcohol: float | None = Field(default=None, ge=0, le=30)
    price: float | None = Field(default=None, ge=0)
    sweetness: Sweetness | None = None
    bottles: int | None = Field(default=None, ge=0)


class Site(_Part):
    """One room with its own bottles."""

    key: str
    name: str
    host: str = ''
    place: str = ''


class Taster(_Part):
    """One who marks. `consent` allows the name to be published."""

    key: str
    name: str = ''
    site: str | None = None
    consent: bool = False


class Tasting(_Part):
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
    ledger: Path
    source: Path
