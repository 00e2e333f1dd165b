"""What `power` is asked, checked: the tasting, what varies in it, and the difference."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import astuple, dataclass, fields
from typing import get_args

import numpy as np

from halfpoint.cli._power_past import ComponentName, PastTasting, together, untold
from halfpoint.cli._progress import progress_bar
from halfpoint.errors import TastingFileError, UsageError
from halfpoint.plan.outlook import Past, Source, Tried, least_sites
from halfpoint.plan.pouring import MOST_WINES, choose_pouring
from halfpoint.plan.power import MOST_SITES, MOST_TASTERS, Question
from halfpoint.plan.precision import EvenSites, PlannedSite, Variances
from halfpoint.plan.rooms import rooms_of
from halfpoint.tasting.model import Tasting
from halfpoint.tasting.planning import Components

SITES, TASTERS, WINES = 12, 10, 8
MOST_POINTS = 1_000_000.0
MOST_TASTINGS = 100_000
# Standard deviations further apart than this are not of one kind of mark.
MOST_RATIO = 1_000.0


@dataclass(frozen=True, slots=True)
class Asked:
    """The difference asked about, and how many tastings to simulate."""

    question: Question
    simulate: int


def asked_of(
    difference: float, wanted: float, alpha: float, *, all_pairs: bool, simulate: int | None
) -> Asked:
    """Check the question.

    Raises:
        UsageError: naming the option, what was found and what was expected.
    """
    if not (math.isfinite(difference) and 0.0 < difference <= MOST_POINTS):
        raise UsageError(
            f'{difference:g}',
            where='--difference',
            expected='points above 0, at most a million',
            remedy='give how far apart the two wines are, as in --difference 0.5',
        )
    if not 1e-6 <= alpha <= 0.5:
        raise UsageError(f'{alpha:g}', where='--alpha', expected='0.000001 to 0.5, usually 0.05')
    if not alpha < wanted <= 0.999999:
        raise UsageError(
            f'{wanted:g}',
            where='--power',
            expected=f'above --alpha ({alpha:g}) and below 1, usually 0.8',
            remedy=f'write {wanted / 100:g} for {wanted:g} %' if 1 < wanted < 100 else '',
        )
    if simulate is not None and not 1 <= simulate <= MOST_TASTINGS:
        raise UsageError(f'{simulate:,}', where='--simulate', expected='1 to 100,000 tastings')
    return Asked(Question(difference, alpha, 'all' if all_pairs else 'one', wanted), simulate or 0)


@dataclass(frozen=True, slots=True)
class Numbers:
    """Numbers given as options; None where the tasting file or the default decides."""

    sites: int | None
    tasters: int | None
    wines: int | None
    each: int | None

    def check(self) -> None:
        """Refuse numbers that no tasting has.

        Raises:
            UsageError: naming the option.
        """
        limits = {
            'sites': (1, MOST_SITES),
            'tasters': (1, MOST_TASTERS),
            'wines': (2, MOST_WINES),
            'each': (2, MOST_WINES),
        }
        for name, (least, most) in limits.items():
            value = getattr(self, name)
            if value is not None and not least <= value <= most:
                raise UsageError(f'{value:,}', where=f'--{name}', expected=f'{least} to {most:,}')

    @property
    def any_given(self) -> bool:
        """Whether any stands in for what the tasting file says."""
        return any(value is not None for value in astuple(self))


def tried_of(tasting: Tasting | None, numbers: Numbers, seed: int) -> Tried:
    """The tasting to reckon with.

    Raises:
        UsageError: numbers that fit no tasting.
        TastingFileError: a tasting that cannot be planned.
    """
    numbers.check()
    if tasting is None:
        wines = numbers.wines or WINES
        even = EvenSites(
            numbers.sites or SITES, numbers.tasters or TASTERS, wines, numbers.each or wines
        )
        return Tried(_linked(even, numbers))
    if numbers.any_given:
        return Tried(_linked(_even_of(tasting, numbers), numbers), title=tasting.title)
    return _planned(tasting, seed)


def _linked(even: EvenSites, numbers: Numbers) -> EvenSites:
    """The same, refused where sites pour more than there is or cannot link all wines."""
    if even.each > even.wines:
        raise UsageError(
            f'{even.each} of {even.wines} wines at each site',
            where='--each',
            expected=f'2 to {even.wines}',
        )
    least = least_sites(even)
    if even.each < even.wines and even.sites < least:
        raise UsageError(
            f'{even.wines} wines cannot all be linked over {even.sites} sites of {even.each}',
            where='--each' if numbers.each else '--sites',
            expected='sites that share wines, so that all can be compared',
            remedy=f'nearest: {least} sites, or more wines at each',
        )
    return even


def _even_of(tasting: Tasting, numbers: Numbers) -> EvenSites:
    """The tasting file's own numbers as like sites, options standing in for them."""
    rooms = rooms_of(tasting)
    asked = tasting.plan.second_pours
    seconds = asked if isinstance(asked, int) else len(asked)
    wines = numbers.wines or len(tasting.wines)
    most = min(room.capacity for room in rooms) - seconds
    each = numbers.each or min(wines, max(2, most))
    seats = round(sum(room.seats for room in rooms) / len(rooms))
    return EvenSites(
        numbers.sites or len(rooms),
        numbers.tasters or max(1, seats),
        wines,
        each,
        min(max(0, seconds), each),
    )


def _planned(tasting: Tasting, seed: int) -> Tried:
    """The plan of the tasting file, site by site."""
    rooms = rooms_of(tasting)
    with progress_bar("Sharing out the wines") as told:
        pouring = choose_pouring(tasting, rooms, np.random.default_rng(seed), progress=told)
    sites = tuple(
        PlannedSite(room.seats, (*np.flatnonzero(poured).tolist(), *twice))
        for room, poured, twice in zip(rooms, pouring.poured, pouring.twice, strict=True)
    )
    count = len(sites)
    even = EvenSites(
        sites=count,
        tasters=max(1, round(sum(site.tasters for site in sites) / count)),
        wines=len(tasting.wines),
        each=max(2, round(float(pouring.poured.sum(axis=1).mean()))),
        second_pours=round(sum(map(len, pouring.twice)) / count),
    )
    return Tried(even, sites, tasting.title)


@dataclass(frozen=True, slots=True)
class AssumedVariances:
    """Variances to reckon with, where each comes from, and what to say of that."""

    variances: Variances
    sources: dict[str, Source]
    past: dict[str, Past]
    notes: tuple[str, ...]


def variances_of(
    given: Mapping[str, float | None],
    past: Sequence[PastTasting],
    tasting: Tasting | None,
    tried: Tried,
) -> AssumedVariances:
    """Options first, then past tastings, then the tasting file, then the defaults.

    Args:
        given: standard deviations in points, by component.
        past: what past tastings showed.
        tasting: this one.
        tried: the tasting, refused where its one site hides what bottles add.

    Raises:
        UsageError: what is no standard deviation, or one site with a bottle variance.
    """
    values, sources = _written(tasting)
    told = together(past)
    values |= {name: one.pooled.usual**2 for name, one in told.items()}
    sources |= dict.fromkeys(told, 'past tasting')
    for name, sd in given.items():
        if sd is not None:
            values[name] = _checked(name, sd) ** 2
            sources[name] = 'option'
            told.pop(name, None)
    variances = Variances(**values)
    _refuse_apart(variances)
    _refuse_one_site(variances, tried, tasting)
    return AssumedVariances(variances, sources, told, untold(past))


def _written(tasting: Tasting | None) -> tuple[dict[str, float], dict[str, Source]]:
    """Variances of the tasting file, or the defaults."""
    assumed = Components() if tasting is None else tasting.plan.assumed
    values = {name: float(getattr(assumed, name)) for name in get_args(ComponentName)}
    sources: dict[str, Source] = {
        name: 'tasting file' if name in assumed.model_fields_set else 'default' for name in values
    }
    return values, sources


def _checked(name: str, sd: float) -> float:
    if not math.isfinite(sd) or sd < 0.0 or sd > MOST_POINTS or (name == 'residual' and sd == 0.0):
        above = "above 0" if name == 'residual' else "0 or more"
        raise UsageError(
            f'{sd:g}',
            where=f'--{name}-sd',
            expected=f'a standard deviation in points, {above}',
            remedy="no two marks are ever sure to be alike; 1.5 is usual on twenty points"
            if name == 'residual'
            else '',
        )
    return sd


def _refuse_apart(variances: Variances) -> None:
    for field in fields(variances):
        value = getattr(variances, field.name)
        if value and not MOST_RATIO**-2 <= value / variances.residual <= MOST_RATIO**2:
            raise UsageError(
                f'{math.sqrt(value):g} points, beside {math.sqrt(variances.residual):g} for '
                'one mark from the next',
                where=f'--{field.name}-sd',
                expected='standard deviations within a thousand times of each other',
                remedy='check the units; give 0 for what does not vary',
            )


def _refuse_one_site(variances: Variances, tried: Tried, tasting: Tasting | None) -> None:
    if len(tried.tasters) > 1:
        return
    if variances.bottle > 0.0:
        from_file = tasting is not None and tried.sites is not None
        where = f'{tasting.source}: [[site]]' if tasting and from_file else '--sites'
        kind = TastingFileError if from_file else UsageError
        raise kind(
            'one site',
            where=where,
            expected='at least 2 sites: at one, a wine and its bottle cannot be told apart',
            remedy='add a site, or give --bottle-sd 0 to ask about these very bottles only',
        )
    if tried.tasters[0] < 2:
        raise UsageError(
            'one taster',
            where='--tasters',
            expected='at least 2 tasters: with one, a wine and a whim cannot be told apart',
        )
