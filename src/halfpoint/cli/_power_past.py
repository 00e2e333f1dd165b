"""What past tastings showed of the four components: read from results, records or tables."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from pathlib import Path
from typing import Any, Literal, get_args

import numpy as np

from halfpoint.cli._weighing import Asked as ToWeigh
from halfpoint.cli._weighing import gather_marks
from halfpoint.errors import InputError, UsageError
from halfpoint.estimate.profile import component_intervals
from halfpoint.estimate.weigh import fit_one, prepare
from halfpoint.plan.outlook import Past, Seen
from halfpoint.plan.past import pool, standard_error
from halfpoint.publish.export.read_back import EXPECTED, read_result
from halfpoint.publish.words import spoken
from halfpoint.tasting.model import Tasting

ComponentName = Literal['taster', 'site', 'bottle', 'residual']

# No standard error is smaller than this share of the standard deviation.
SUREST = 1e-3
LEAST_SE = 1e-6


@dataclass(frozen=True, slots=True)
class PastTasting:
    """One past tasting: standard deviation and its error in points, by component; top mark."""

    source: Path
    title: str
    top: float | None
    seen: Mapping[str, Seen]


def past_tastings(
    paths: Sequence[Path], mark: str | None, tasting: Tasting | None
) -> tuple[PastTasting, ...]:
    """What each past tasting showed.

    Args:
        paths: results as JSON, tasting files, tables of marks.
        mark: the column of tables that holds the whole mark.
        tasting: the one to come, whose marks must go as far.

    Raises:
        UsageError: a column without a table, or one tasting twice.
        InputError: what is no result, or marks on another scale.
    """
    if mark is not None and not any(
        path.suffix.lower() not in ('.json', '.toml') for path in paths
    ):
        raise UsageError('no table of a past tasting', where='--mark', remedy='give it with --from')
    found = tuple(_past(path, mark) for path in paths)
    _refuse_twice(found)
    _refuse_other_scales(found, tasting)
    titles = [one.title for one in found]
    return tuple(
        _also_called(one, one.source.stem) if titles.count(one.title) > 1 else one for one in found
    )


def _also_called(past: PastTasting, name: str) -> PastTasting:
    """The same, told from others of its title by the name of its file."""
    title = f"{past.title} ({spoken(name)})"
    seen = {key: replace(one, title=title) for key, one in past.seen.items()}
    return replace(past, title=title, seen=seen)


def together(past: Sequence[PastTasting]) -> dict[str, Past]:
    """Each component that any of them tells, pooled over those that do."""
    told: dict[str, Past] = {}
    for name in get_args(ComponentName):
        seen = tuple(one.seen[name] for one in past if name in one.seen)
        if seen:
            sds, errors = np.array([[each.sd, each.se] for each in seen]).T
            told[name] = Past(seen, pool(sds, errors))
    return told


def untold(past: Sequence[PastTasting]) -> tuple[str, ...]:
    """What each could not show, a sentence each."""
    said = []
    for one in past:
        missing = [name for name in get_args(ComponentName) if name not in one.seen]
        if missing:
            verb = "adds" if len(missing) == 1 else "add"
            what = f"{one.title} does not tell what {' and '.join(missing)} {verb}"
            said.append(f"{what}, so that is not from there.")
    return tuple(said)


def _past(path: Path, mark: str | None) -> PastTasting:
    if path.suffix.lower() == '.json':
        return _of_result(read_result(path), path)
    table = path.suffix.lower() != '.toml'
    return _of_marks(path, mark if table else None)


def _of_result(result: Any, path: Path) -> PastTasting:
    """From the JSON of a result.

    Raises:
        InputError: not a result, or one without components.
    """
    if not isinstance(result, Mapping) or not {'title', 'components', 'pairs'} <= result.keys():
        raise InputError("this is not the result of a tasting", where=str(path), expected=EXPECTED)
    try:
        title, top = spoken(str(result['title'])), result['top']
        seen = {
            name: _seen(title, part['variance'], part['low'], part['high'])
            for name, part in result['components'].items()
            if name in get_args(ComponentName)
        }
        top = None if top is None else float(top)
    except (KeyError, TypeError, ValueError, AttributeError) as reason:
        raise InputError(
            f"the result cannot be read ({reason})",
            where=str(path),
            expected=f"{EXPECTED}, unchanged",
        ) from None
    if 'residual' not in seen or seen['residual'].sd == 0.0:
        raise InputError(
            "this result does not say how much marks vary",
            where=str(path),
            expected="a tasting whose wines are all linked by common tasters",
            remedy="leave it out",
        )
    return PastTasting(path, title, top, seen)


def _of_marks(path: Path, mark: str | None) -> PastTasting:
    """From the marks of a tasting file's record, or of a table."""
    asked = ToWeigh.from_options(
        source=path, sheet=None, mark=mark, wines='fixed', effects=None, covariates=(),
        mapping=(), seed=0,
    )  # fmt: skip
    collected = gather_marks(asked)
    main = collected.marks[0]
    weighing = prepare(collected.frame, [main.column], covariates=collected.covariates)
    reml = fit_one(weighing, main.column).reml
    intervals = component_intervals(reml)
    title = spoken(collected.title)
    seen = {
        name: _seen(title, variance, intervals[name].low, intervals[name].high)
        for name, variance in reml.variances().items()
        if name in get_args(ComponentName)
    }
    return PastTasting(path, title, main.top, seen)


def _seen(title: str, variance: float, low: float | None, high: float | None) -> Seen:
    """A component with the standard error that its interval tells.

    Raises:
        ValueError: no finite variance from 0 up, or ends that do not lie about it.
    """
    ends = [float(end) for end in (low, high) if end is not None]
    sd = math.sqrt(float(variance))
    if not all(math.isfinite(value) and value >= 0.0 for value in (sd, *ends)):
        raise ValueError(f'a variance of {variance} from {low} to {high}')
    error = standard_error(float(variance), low, high)
    return Seen(title, sd, max(error, SUREST * sd, LEAST_SE))


def _refuse_twice(past: Sequence[PastTasting]) -> None:
    for one, other in combinations(past, 2):
        figures = [{name: round(s.sd, 6) for name, s in p.seen.items()} for p in (one, other)]
        if one.source.resolve() == other.source.resolve() or figures[0] == figures[1]:
            raise UsageError(
                f"the same tasting twice: {one.source} and {other.source}",
                where='--from',
                expected='each past tasting once',
                remedy='leave one of them out',
            )


def _refuse_other_scales(past: Sequence[PastTasting], tasting: Tasting | None) -> None:
    tops = {str(one.source): one.top for one in past if one.top is not None}
    if tasting is not None:
        tops[str(tasting.source)] = tasting.sheet.top
    if len(set(tops.values())) > 1:
        raise InputError(
            f"marks on several scales: {', '.join(f'{k} goes to {v:g}' for k, v in tops.items())}",
            where='--from',
            expected='tastings on a sheet with the same highest mark',
            remedy='leave those out that are on another sheet',
        )
