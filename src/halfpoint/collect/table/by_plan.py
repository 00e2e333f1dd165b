"""Rows held against the plan: codes to wines, and pours that the plan does not have."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import polars as pl

from halfpoint.collect.table.names import Names, names_of
from halfpoint.collect.table.objections import Objection
from halfpoint.collect.table.poured import Behind, Poured
from halfpoint.collect.table.raw import as_text, shorten
from halfpoint.collect.table.shape import Pours
from halfpoint.tasting.model import Tasting

_CODE = r'^[0-9]{3}$'


@dataclass(frozen=True, slots=True)
class HeldToPlan:
    """Names and further columns with what the plan knows filled in; objections and notes."""

    names: Mapping[str, Names]
    columns: Mapping[str, pl.Series]
    objections: tuple[Objection, ...] = ()
    notes: tuple[str, ...] = ()


def codes_apart(pours: Pours, tasting: Tasting | None) -> Pours:
    """Pours with the codes that stand where a wine should moved to the codes."""
    if 'wine' not in pours.columns:
        return pours
    written = names_of(pours.columns['wine']).series('wine').cast(pl.String)
    likes = written.filter(written.str.contains(_CODE).fill_null(False)).unique().to_list()
    codes = [text for text in likes if tasting is None or tasting.find_wine(text) is None]
    if not codes:
        return pours
    moved = written.is_in(codes).fill_null(False)
    told = pl.Series('code', [None] * len(written), dtype=pl.String)
    if 'code' in pours.columns:
        told = names_of(pours.columns['code']).series('code').cast(pl.String)
    moved &= told.is_null()
    wine = as_text(pours.columns['wine']).set(moved, None)
    code = told.zip_with(~moved, written)
    return replace(pours, columns={**pours.columns, 'wine': wine, 'code': code})


def hold_to_plan(
    names: Mapping[str, Names],
    columns: Mapping[str, pl.Series],
    poured: Poured,
    objected: Iterable[Objection],
) -> HeldToPlan:
    """Find the wine behind each code, its pour and position, and what the plan does not have.

    Args:
        names: taster, wine and, where told, site of every row.
        columns: further columns, of which code, pour and position are looked at.
        poured: the plan.
        objected: what is held against rows already.
    """
    rows = _rows(names, columns)
    holding = _Holding(poured, rows, {o.index for o in objected if o.field in {'wine', 'site'}})
    for index, row in enumerate(rows):
        holding.row(index, row)
    filled = {
        'position': pl.Series('position', [row.position for row in rows], dtype=pl.Int64),
        'pour': pl.Series('pour', [row.pour for row in rows], dtype=pl.String),
    }
    kept = {k: c for k, c in filled.items() if k in columns or c.null_count() < len(rows)}
    wine = names_of(pl.Series('wine', [row.wine for row in rows], dtype=pl.String))
    return HeldToPlan(
        {
            'taster': names['taster'],
            'wine': wine,
            **{k: v for k, v in names.items() if k == 'site'},
        },
        {**columns, **kept},
        tuple(holding.objections),
        holding.notes(),
    )


@dataclass(slots=True)
class _Row:
    taster: str | None
    site: str | None
    wine: str | None
    code: str | None
    pour: str | None
    position: int | None


def _rows(names: Mapping[str, Names], columns: Mapping[str, pl.Series]) -> list[_Row]:
    count = len(names['taster'].codes)
    empty: list[None] = [None] * count

    def told(role: str) -> Sequence[str | None]:
        return names[role].series(role).cast(pl.String).to_list() if role in names else empty

    def beside(role: str) -> Sequence[str | None]:
        return columns[role].to_list() if role in columns else empty

    places: Sequence[int | None] = columns['position'].to_list() if 'position' in columns else empty
    return [
        _Row(*each)
        for each in zip(
            told('taster'), told('site'), told('wine'), beside('code'), beside('pour'), places,
            strict=True,
        )
    ]  # fmt: skip


@dataclass(slots=True)
class _Holding:
    poured: Poured
    rows: list[_Row]
    objected: set[int]
    objections: list[Objection] = field(default_factory=list)
    elsewhere: int = 0
    _told: dict[tuple[str | None, str | None], set[str]] | None = None

    def row(self, index: int, row: _Row) -> None:
        site = self.poured.site_of(row.site)
        if site is not None and site not in self.poured.behind:
            self._object(index, 'site', f"'{row.site}'", "a site of the plan; plan again for it")
        elif row.code is not None:
            self._by_code(index, row, site, row.code)
        elif row.wine is None:
            if index not in self.objected:
                self._object(index, 'wine', "nothing", "which wine this is, or its code")
        elif site is not None:
            self._by_wine(index, row, site, row.wine)

    def _by_code(self, index: int, row: _Row, site: str | None, code: str) -> None:
        if site is None:
            if index not in self.objected:
                self._object(index, 'site', "nothing", f"where code {shorten(code)} was poured")
            return
        behind = self.poured.at(site, code)
        if behind is None:
            self._object(index, 'code', f"'{shorten(code)}'", self._expected(row, site, code))
        elif row.wine not in (None, behind.wine):
            told = f"'{row.wine}' with code {code}"
            self._object(index, 'wine', told, f"the wine poured as {code} at {site}, or none")
        elif behind.pour and row.pour in {'1', '2'} and row.pour != behind.pour:
            told = f"'{row.pour}' with code {code}"
            self._object(index, 'pour', told, f"'{behind.pour}', or nothing")
        else:
            self._fill(row, site, code, behind)

    def _by_wine(self, index: int, row: _Row, site: str, wine: str) -> None:
        if wine not in self.poured.wines_at(site):
            self._object(index, 'wine', f"'{wine}'", f"a wine that the plan pours at {site}")
            return
        code = self.poured.code_of(site, wine, row.pour)
        if code is not None:
            self._place(row, site, code)

    def _fill(self, row: _Row, site: str, code: str, behind: Behind) -> None:
        row.wine = behind.wine
        row.pour = behind.pour or row.pour
        self._place(row, site, code)

    def _place(self, row: _Row, site: str, code: str) -> None:
        planned = self.poured.places.get((site, row.taster or ''), {}).get(code)
        if row.position is None:
            row.position = planned
        elif planned not in (None, row.position):
            self.elsewhere += 1

    def _expected(self, row: _Row, site: str, code: str) -> str:
        told = frozenset(self._codes_told().get((row.taster, row.site), ()))
        found = self.poured.likely(site, code, taster=row.taster, position=row.position, told=told)
        if found is None:
            return f"a code poured at {site}"
        likely, place = found
        where = f" (position {place} for this seat)" if place else ""
        return f"a code poured at {site}; likely {likely}{where}"

    def _codes_told(self) -> dict[tuple[str | None, str | None], set[str]]:
        if self._told is None:
            self._told = defaultdict(set)
            for row in self.rows:
                if row.code is not None:
                    self._told[row.taster, row.site].add(row.code)
        return self._told

    def _object(self, index: int, role: str, found: str, expected: str) -> None:
        self.objections.append(Objection(index, role, found, expected))

    def notes(self) -> tuple[str, ...]:
        if not self.elsewhere:
            return ()
        count = "1 row tells" if self.elsewhere == 1 else f"{self.elsewhere:,} rows tell"
        return (f"{count} another position than the plan has: taken as told",)
