"""The plan: who is poured what, when, under which code; and what it takes."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Pour:
    """One serving of one wine to one seat.

    `bag` is the letter by which a steward knows it, `code` the digits by which a taster does;
    `position` counts through the whole evening from 1.
    """

    site: str
    table: int
    seat: int
    flight: int
    position: int
    code: str
    wine: str
    second_pour: bool
    bag: str
    taster: str | None = None


@dataclass(frozen=True, slots=True)
class BalanceAt:
    """How often things happen: least and most over wines and places."""

    least: int
    most: int


@dataclass(frozen=True, slots=True)
class SiteBalance:
    """Evenness within one site, style block by style block."""

    site: str
    position: BalanceAt
    predecessor: BalanceAt


@dataclass(frozen=True, slots=True)
class Balance:
    """Counts by position and by predecessor over the whole tasting, and what they say.

    `by_position[wine][k]` counts the wine at position k + 1; `by_predecessor[a][b]` counts b
    poured right after a.  `position` and `predecessor` are those of the least even style block;
    over the whole tasting `position` is that of first pours.
    `efficiency` is that of the allocation of wines to sites, 1 when every site pours all.
    """

    by_position: dict[str, tuple[int, ...]]
    by_predecessor: dict[str, dict[str, int]]
    position: BalanceAt
    predecessor: BalanceAt
    sites: tuple[SiteBalance, ...]
    efficiency: float
    connected: bool


@dataclass(frozen=True, slots=True)
class SiteBottles:
    """Bottles of one wine at one site."""

    site: str
    wine: str
    pours: int
    bottles: int
    spare: int


@dataclass(frozen=True, slots=True)
class WineMoney:
    """What one wine takes over all sites: bottles, cases of six, and cost where known."""

    wine: str
    bottles: int
    at_hand: int | None
    to_buy: int
    cases: int
    cost: float | None


@dataclass(frozen=True, slots=True)
class Money:
    """What the wines cost. `missing` names wines without a price."""

    currency: str
    total: float
    wines: tuple[WineMoney, ...]
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SeatAlcohol:
    """Alcohol for one seat if all were swallowed."""

    site: str
    seat: int
    taster: str | None
    grams: float
    drinks_10g: float
    drinks_14g: float


@dataclass(frozen=True, slots=True)
class Retired:
    """A code and bag once printed at a site for what is poured there no longer."""

    site: str
    wine: str
    second_pour: bool
    code: str
    bag: str


@dataclass(frozen=True, slots=True)
class Plan:
    """The complete plan. `losses` say in words what could not be had.

    `retired` are codes that stay taken, so that no paper of an earlier plan is ever wrong.
    """

    tasting: str
    seed: int
    pours: tuple[Pour, ...]
    balance: Balance
    bottles: tuple[SiteBottles, ...]
    money: Money
    alcohol: tuple[SeatAlcohol, ...]
    losses: tuple[str, ...]
    notes: tuple[str, ...]
    retired: tuple[Retired, ...] = ()
