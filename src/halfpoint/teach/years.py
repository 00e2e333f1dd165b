"""What tastings of several years say of each member, under pseudonyms, as one JSON file."""

from __future__ import annotations

import json
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date
from math import exp, log, sqrt
from pathlib import Path
from typing import Any

import numpy as np

from halfpoint.errors import InputError
from halfpoint.publish.export.read_back import read_result
from halfpoint.teach.habits import Figure, Normal, ahead, share_kept
from halfpoint.teach.prior import LEAST_SD, Prior
from halfpoint.writing import write_text_safely

KIND, FORM = 'years', 1
EXPECTED = "what `halfpoint years --json FILE` wrote"
REACH = 1.96
FEWEST_PAIRS = 10
# How the note begins that says of a result that it rests on earlier years.
PAST_SAID = "Figures of tasters start from their own record"
HABITS = ('severity', 'spread', 'noise')


@dataclass(frozen=True, slots=True)
class Told:
    """A figure with its 95 % interval."""

    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Year:
    """One tasting: how tasters of its panel differ, and the habits of each member, by pseudonym.

    `date` is its first day (ISO 8601), '' where the tasting file does not say.
    """

    key: str
    title: str
    date: str
    severity_sd: float
    spread_sd: float
    noise_sd: float
    freedom: float
    members: Mapping[str, Mapping[str, Told]]

    @property
    def panel(self) -> dict[str, Normal]:
        """How its tasters lie in each habit; noise on the scale of logarithms."""
        return panel_of(self.severity_sd, self.spread_sd, self.noise_sd, self.freedom)


def panel_of(severity: float, spread: float, noise: float, freedom: float) -> dict[str, Normal]:
    """How tasters lie in each habit, from standard deviations; noise as its logarithm.

    The logarithm of a standard deviation with ν degrees of freedom has a variance of about
    1 / (2 ν).
    """
    return {
        'severity': Normal(0.0, max(severity, LEAST_SD)),
        'spread': Normal(1.0, max(spread, LEAST_SD)),
        'noise': Normal(log(max(noise, LEAST_SD)), sqrt(0.5 / freedom)),
    }


@dataclass(frozen=True, slots=True)
class Years:
    """Tastings in order, the earliest first."""

    tastings: tuple[Year, ...]

    def before(self, keys: Collection[str], day: str) -> Years:
        """Those before the tasting that goes by one of these keys, itself left out."""

        def earlier(year: Year) -> bool:
            return year.date < day if day and year.date else year.key not in keys

        return Years(tuple(year for year in self.tastings if earlier(year)))

    def of(self, member: str) -> tuple[tuple[Year, Mapping[str, Told]], ...]:
        """What each tasting says of a member, those alone that say anything."""
        return tuple(
            (year, year.members[member]) for year in self.tastings if member in year.members
        )


def year_of(result: Any, key: str, day: str, name: Callable[[str], str | None], where: str) -> Year:
    """What a result says of members.

    Args:
        result: what `halfpoint results --json` wrote, read, or the same as plain data.
        key: of the tasting.
        day: its first day, '' for not known.
        name: from what the result calls a taster to a pseudonym, None for nobody's.
        where: the file, for refusals.

    Raises:
        InputError: not a result, or one without figures of tasters.
    """
    try:
        if any(str(note).startswith(PAST_SAID) for note in result['notes']):
            raise ValueError('its figures rest on earlier years already')  # noqa: TRY301
        scale, tasters = result['scale'], result['tasters']
        members = {
            called: {habit: Told(*(float(one[habit][end]) for end in ('value', 'low', 'high')))
                     for habit in HABITS if one[habit] is not None}
            for one in tasters
            if (called := name(one['taster'])) is not None and one['severity'] is not None
        }  # fmt: skip
        return Year(
            key, str(result['title']), day, float(scale['severity_sd']),
            float(scale['spread_sd']), float(scale['noise_sd']), float(scale['freedom']), members,
        )  # fmt: skip
    except (KeyError, TypeError, ValueError, AttributeError) as reason:
        raise InputError(
            f"this result tells nothing of its tasters ({reason})",
            where=where,
            expected="what `halfpoint results --json FILE` wrote, of a tasting with several wines",
            remedy="leave it out",
        ) from None


def in_order(tastings: Iterable[Year]) -> Years:
    """By day; those without one stay where they were named.

    Raises:
        InputError: one tasting twice.
    """
    found = list(tastings)
    names = [(year.key, year.date) for year in found]
    for key, day in names:
        if names.count((key, day)) > 1:
            when = f" of {day}" if day else ""
            raise InputError(
                f"the tasting '{key}'{when} twice", where="years", expected="each tasting once"
            )
    if all(year.date for year in found):
        found.sort(key=lambda year: year.date)
    return Years(tuple(found))


def expected_of(
    years: Years,
    member: str,
    panel: Mapping[str, Normal],
    day: str,
    kept: Mapping[str, float],
) -> dict[str, Normal] | None:
    """What is expected of a member's habits at a tasting to come; None for nobody known.

    Args:
        years: the tastings before it.
        member: a pseudonym.
        panel: how tasters of that tasting lie; noise on the scale of logarithms.
        day: its first day; without one it is a year after the last.
        kept: share of each habit that is there a year later, as `kept_over` gives it.
    """
    told = years.of(member)
    if not told:
        return None
    times = dict(zip((year.key for year in years.tastings), _times(years), strict=True))
    dated = bool(day) and all(year.date for year in years.tastings)
    at = _time(day) if dated else max(times.values()) + 1.0
    return {
        habit: ahead(
            [
                _figure(times[year.key], habit, figures[habit], year.panel[habit])
                for year, figures in told
                if habit in figures
            ],
            at,
            panel[habit],
            kept[habit],
        )
        for habit in HABITS
    }


def kept_over(years: Years) -> dict[str, float]:
    """The share of each habit that is there a year later, from members who came again."""
    times = _times(years)
    met: dict[str, list[tuple[float, Year]]] = {}
    for at, year in zip(times, years.tastings, strict=True):
        for member in year.members:
            met.setdefault(member, []).append((at, year))
    return {
        habit: share_kept([
            [
                _figure(at, habit, year.members[member][habit], year.panel[habit])
                for at, year in seen
                if habit in year.members[member]
            ]
            for member, seen in met.items()
        ])
        for habit in HABITS
    }  # fmt: skip


def as_prior(expected: Mapping[str, Normal]) -> Prior:
    """The same as the prior of a learner."""
    level, slope, noise = (expected[habit] for habit in HABITS)
    return Prior(
        level.mean, max(level.sd, LEAST_SD), slope.mean, max(slope.sd, LEAST_SD),
        max(exp(noise.mean), LEAST_SD), max(2.0, 1.0 / (2.0 * noise.sd**2)),
    )  # fmt: skip


def _figure(year: float, habit: str, told: Told, panel: Normal) -> Figure:
    value, low, high = told.value, told.low, told.high
    if habit == 'noise':
        value, low, high = (log(max(part, LEAST_SD)) for part in (value, low, high))
    return Figure(year, value, max((high - low) / (2 * REACH), 1e-9), panel.mean, panel.sd)


def _times(years: Years) -> list[float]:
    """The day of each in years; a year apart where days are not known."""
    if all(year.date for year in years.tastings):
        return [_time(year.date) for year in years.tastings]
    return [float(at) for at in range(len(years.tastings))]


def _time(day: str) -> float:
    return date.fromisoformat(day).toordinal() / 365.25


def goes_along(years: Years) -> tuple[Told, int] | None:
    """How severity at one tasting goes with that at the next: r with Fisher's interval, and pairs.

    Drawn towards the panel twice, so rather too low than too high.
    """
    pairs = np.array([
        (earlier.members[member]['severity'].value, later.members[member]['severity'].value)
        for earlier, later in zip(years.tastings, years.tastings[1:], strict=False)
        for member in sorted(earlier.members.keys() & later.members.keys())
    ])  # fmt: skip
    if len(pairs) < FEWEST_PAIRS or 0.0 in np.ptp(pairs, axis=0):
        return None
    r = float(np.clip(np.corrcoef(pairs.T)[0, 1], -0.999999, 0.999999))
    reach = REACH / sqrt(len(pairs) - 3.0)
    low, high = np.tanh([np.arctanh(r) - reach, np.arctanh(r) + reach])
    return Told(r, float(low), float(high)), len(pairs)


def write_years(path: Path, years: Years) -> None:
    """Write them as JSON, whole or not at all.

    Raises:
        DiskFull, OutputError: it could not be written.
    """
    whole = {'kind': KIND, 'form': FORM, 'tastings': [asdict(year) for year in years.tastings]}
    write_text_safely(path, json.dumps(whole, ensure_ascii=False, indent=1, allow_nan=False) + '\n')


def read_years(path: Path) -> Years:
    """The record over years of a file.

    Raises:
        FileNotReadable, InputError: it cannot be read.
    """
    return years_in(read_result(path, EXPECTED), str(path))


def years_in(read: Any, where: str) -> Years:
    """The years that JSON holds.

    Raises:
        InputError: not what `halfpoint years` wrote.
    """
    if not isinstance(read, Mapping) or (read.get('kind'), read.get('form')) != (KIND, FORM):
        raise InputError("this is no record over years", where=where, expected=EXPECTED)
    try:
        return Years(tuple(_year_in(raw) for raw in read['tastings']))
    except (KeyError, TypeError, ValueError, AttributeError) as reason:
        raise InputError(
            f"the record over years cannot be read ({reason})", where=where, expected=EXPECTED
        ) from None


def _year_in(raw: Mapping[str, Any]) -> Year:
    members = {
        member: {habit: Told(**told) for habit, told in habits.items()}
        for member, habits in raw['members'].items()
    }
    made = Year(**{**raw, 'members': members})
    if made.date:
        _time(made.date)
    _check(made)
    return made


def _check(year: Year) -> None:
    told = (one for habits in year.members.values() for one in habits.values())
    figures: Sequence[float] = [
        year.severity_sd, year.spread_sd, year.noise_sd, year.freedom,
        *(part for one in told for part in (one.value, one.low, one.high)),
    ]  # fmt: skip
    if not np.isfinite(np.array(figures, dtype=np.float64)).all() or year.freedom <= 0.0:
        raise ValueError(f'figures of {year.key}')
