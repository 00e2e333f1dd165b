"""Tasters, wines and sites of each row, known to the tasting or taken as written."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import polars as pl

from halfpoint.collect.table.names import LONGEST_NAME, Names, names_of
from halfpoint.collect.table.objections import Objection, object_to
from halfpoint.collect.table.raw import shorten
from halfpoint.collect.table.shape import Pours
from halfpoint.sheet.words import did_you_mean
from halfpoint.tasting.model import Site, Taster, Tasting, Wine

_Part = Wine | Site | Taster


@dataclass(frozen=True, slots=True)
class Who:
    """The names of every row by role, and what is held against some."""

    names: Mapping[str, Names]
    objections: tuple[Objection, ...]


def who_poured(
    pours: Pours,
    tasting: Tasting | None,
    *,
    by_code: bool = False,
    seated: Collection[str] = frozenset(),
) -> Who:
    """Taster, wine and, where there is one, site of each row.

    With `by_code` a row need not name its wine, as its code will. Tasters in `seated` are known
    without being listed.
    """
    names: dict[str, Names] = {}
    objections: list[Objection] = []
    for role in ('taster', 'wine', 'site'):
        if role not in pours.columns:
            continue
        written = names_of(pours.columns[role])
        known = _known_to(tasting, role, seated)
        names[role] = written.renamed(known) if known else written
        if role == 'taster' or (role == 'wine' and not by_code) or tasting is None:
            objections += _blank(written, role)
        objections += _too_long(written, role)
        if known and tasting:
            objections += _unknown(written, role, known, _parts(tasting, role))
    if tasting is not None:
        objections += _fill_sites(names, tasting)
    return Who(names, tuple(objections))


def _parts(tasting: Tasting, role: str) -> Sequence[_Part]:
    parts: dict[str, Sequence[_Part]] = {
        'taster': tasting.tasters,
        'wine': tasting.wines,
        'site': tasting.sites,
    }
    return parts[role]


def _known_to(
    tasting: Tasting | None, role: str, seated: Collection[str]
) -> Callable[[str], str] | None:
    """From a written name to the key it has in the tasting, '' for none."""
    if tasting is None or not _parts(tasting, role):
        return None
    find: Callable[[str], _Part | None] = getattr(tasting, f'find_{role}')

    def key_of(text: str) -> str:
        part = find(text)
        if part is None:
            return text.strip() if role == 'taster' and text.strip() in seated else ''
        return part.key

    return key_of


def _blank(written: Names, role: str) -> list[Objection]:
    return object_to(written.codes < 0, role, lambda _: "nothing", f"which {role} this is")


def _too_long(written: Names, role: str) -> list[Objection]:
    labels = written.labels.to_list()
    flags = np.append(
        (written.labels.cast(pl.String).str.len_chars() > LONGEST_NAME).to_numpy(), False
    )
    return object_to(
        flags[written.codes],
        role,
        lambda index: f"a name of {len(labels[written.codes[index]]):,} letters",
        f"at most {LONGEST_NAME} letters",
    )


def _unknown(
    written: Names, role: str, known: Callable[[str], str], parts: Sequence[_Part]
) -> list[Objection]:
    labels = written.labels.to_list()
    unknown = np.array([*(not known(label) for label in labels), False])
    spoken = [name for part in parts for name in (part.key, part.name) if name]
    said = {
        label: f"a {role} of this tasting{did_you_mean(label, spoken)}"
        for label, is_unknown in zip(labels, unknown, strict=False)
        if is_unknown
    }
    return object_to(
        unknown[written.codes],
        role,
        lambda index: f"'{shorten(labels[written.codes[index]])}'",
        lambda index: said[labels[written.codes[index]]],
    )


def _fill_sites(names: dict[str, Names], tasting: Tasting) -> list[Objection]:
    """Give rows without a site the site that the tasting has for their taster."""
    home = {taster.key: taster.site for taster in tasting.tasters if taster.site}
    if 'site' not in names and not home:
        return []
    tasters = names['taster']
    homes = names_of(
        pl.Series([*(home.get(t) for t in tasters.labels.to_list()), None], dtype=pl.String)
    )
    theirs = homes.codes[tasters.codes]
    nowhere = Names(np.full(theirs.size, -1), pl.Series([], dtype=pl.Categorical))
    written = names.get('site', nowhere)
    labels = pl.concat([written.labels, homes.labels])
    filled = np.where(theirs < 0, -1, theirs + written.labels.len())
    codes = np.where(written.codes < 0, filled, written.codes)
    had_column = 'site' in names
    names['site'] = Names(codes, labels).renamed(str)
    return _blank(names['site'], 'site') if had_column else []
