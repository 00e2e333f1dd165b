"""A result whose tasters start from their own record of earlier years.

Only what is said of each taster changes. Scores of wines rest on the marks of this tasting alone,
so that no wine gains or loses by who was severe last year.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import exp, log
from pathlib import Path

from halfpoint.estimate.findings import Findings
from halfpoint.ledger.replay import State
from halfpoint.panel.said import Interval, TasterFinding
from halfpoint.publish.export.document import document, plain
from halfpoint.publish.numbers import number, plural
from halfpoint.tasting.model import Tasting
from halfpoint.teach.habits import Figure, Normal, updated
from halfpoint.teach.prior import LEAST_SD
from halfpoint.teach.society import members_of, pseudonym, read_society
from halfpoint.teach.years import (
    PAST_SAID,
    REACH,
    Told,
    Years,
    expected_of,
    kept_over,
    panel_of,
    read_years,
    year_of,
)


@dataclass(frozen=True, slots=True)
class Before:
    """A member's level at an earlier tasting, in points below the others."""

    label: str
    level: Told


def of_record(
    findings: Findings, tasting: Tasting, state: State, years: Path, society: Path
) -> Findings:
    """The result of a tasting file's record with known tasters' own past taken into account.

    Raises:
        FileNotReadable, InputError: the record over years or the society's key cannot be read.
    """
    members = members_met(tasting, state, read_society(society))
    return with_past(findings, read_years(years), members, key=tasting.key, day=day_of(tasting))


def of_table(findings: Findings, years: Path, society: Path) -> Findings:
    """The same for a table of marks, whose tasters are members by their names there."""
    key = read_society(society)
    members = {each.taster: pseudonym(key, each.taster) for each in findings.by_taster}
    return with_past(findings, read_years(years), members, key=findings.title, day='')


def levels_before(
    tasting: Tasting, state: State, years: Path, society: Path
) -> dict[str, tuple[Before, ...]]:
    """What the result calls a taster → levels at earlier tastings, the earliest first."""
    earlier = read_years(years).before({tasting.key, tasting.title}, day_of(tasting))
    found = {}
    for taster, member in members_met(tasting, state, read_society(society)).items():
        found[taster] = tuple(
            Before(year.date[:4] or year.title, figures['severity'])
            for year, figures in earlier.of(member)
        )
    return found


def members_met(tasting: Tasting, state: State, key: bytes) -> dict[str, str]:
    """What a result calls a taster → pseudonym, those without a line in the file by their key."""
    names = members_of(tasting, state.called)
    met = {entry.now.taster for entry in state.entries.values()} - state.called.keys()
    everybody = {each: each for each in met} | names
    return {taster: pseudonym(key, member) for taster, member in everybody.items()}


def day_of(tasting: Tasting) -> str:
    """The first day of a tasting, '' where its file does not say."""
    return '' if tasting.opens is None else tasting.opens.isoformat()


def with_past(
    findings: Findings, years: Years, members: Mapping[str, str], *, key: str, day: str
) -> Findings:
    """The findings with severity, spread and noise of known members drawn towards their own past.

    Args:
        findings: a result.
        years: the record over years; this tasting itself, and later ones, are left out.
        members: what the result calls a taster → pseudonym.
        key: of this tasting.
        day: its first day, '' for not known.
    """
    # A result that came as JSON goes by its title.
    earlier = years.before({key, findings.title}, day)
    scale = findings.scale
    if scale is None or not earlier.tastings:
        return replace(findings, notes=(*findings.notes, _nothing(earlier)))
    panel = panel_of(scale.severity_sd, scale.spread_sd, scale.noise_sd, scale.freedom)
    here = year_of(plain(document(findings)), key, day, members.get, findings.source)
    kept = kept_over(Years((*earlier.tastings, here)))
    known, told = 0, []
    for taster in findings.by_taster:
        member = members.get(taster.taster)
        expected = None if member is None else expected_of(earlier, member, panel, day, kept)
        known += expected is not None and not taster.withheld
        told.append(taster if expected is None else _from_past(taster, expected, panel))
    note = (
        f"{PAST_SAID} of {plural(len(earlier.tastings), 'earlier tasting')}: known are {known:,} "
        f"of {plural(len(told), 'taster')}, and about {number(kept['severity'], 2)} of a level is "
        "there a year later. Scores of wines rest on this tasting alone."
    )
    return replace(findings, by_taster=tuple(told), notes=(*findings.notes, note))


def _nothing(earlier: Years) -> str:
    why = "no earlier tasting is in it" if not earlier.tastings else "the marks tell no scale use"
    return f"The record over years was left out of account, as {why}."


def _from_past(
    taster: TasterFinding, expected: Mapping[str, Normal], panel: Mapping[str, Normal]
) -> TasterFinding:
    if taster.withheld:
        return taster
    return replace(
        taster,
        severity=_moved(taster.severity, expected['severity'], panel['severity']),
        spread=_moved(taster.spread, expected['spread'], panel['spread']),
        noise=_moved_logs(taster.noise, expected['noise'], panel['noise']),
    )


def _moved(found: Interval | None, expected: Normal, panel: Normal) -> Interval | None:
    """The figure with the member's own past in the place of the panel."""
    if found is None:
        return None
    error = max((found.high - found.low) / (2 * REACH), 1e-9)
    now = updated(expected, Figure(0.0, found.value, error, panel.mean, panel.sd))
    reach = REACH * now.sd
    return Interval(now.mean, now.mean - reach, now.mean + reach)


def _moved_logs(found: Interval | None, expected: Normal, panel: Normal) -> Interval | None:
    """The same for what is above zero, on the scale of logarithms."""
    if found is None:
        return None
    logs = Interval(*(log(max(part, LEAST_SD)) for part in (found.value, found.low, found.high)))
    moved = _moved(logs, expected, panel)
    if moved is None:
        return None
    return Interval(exp(moved.value), exp(moved.low), exp(moved.high))
