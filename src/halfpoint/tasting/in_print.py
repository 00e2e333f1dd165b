"""The names of a tasting that stand on its papers, and the typefaces that print them."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from fontTools.unicodedata import script_name

from halfpoint.errors import InputError
from halfpoint.sheet.form import Sheet
from halfpoint.tasting.model import Site, Tasting
from halfpoint.typeface.choosing import REMEDY, Typefaces, typefaces_for
from halfpoint.typeface.letters import one_line, runs

SHOWN = 10
_LONGEST = 200


@dataclass(frozen=True, slots=True)
class Named:
    """A name and where in the tasting file it stands."""

    where: str
    name: str


def names_of_tasting(
    tasting: Tasting, sites: Collection[str], seated: Collection[str], *, wines: bool = False
) -> Iterator[Named]:
    """The names on papers: of the tasting, the sites and the tasters given by key, and wines."""
    yield Named("tasting, key title", tasting.title)
    for place, site in enumerate(tasting.sites, start=1):
        if site.key in sites:
            yield from _of_site(f"site {place} '{site.key}'", site)
    listed = {taster.key for taster in tasting.tasters}
    for place, taster in enumerate(tasting.tasters, start=1):
        if taster.key in seated:
            key = 'name' if taster.name else 'key'
            yield Named(f"taster {place} '{taster.key}', key {key}", taster.name or taster.key)
    yield from (Named("a taster in the plan", key) for key in sorted(set(seated) - listed) if key)
    if wines:
        yield Named("tasting, key currency", tasting.currency)
        for place, wine in enumerate(tasting.wines, start=1):
            yield Named(f"wine {place} '{wine.key}', key name", wine.name)


def names_of_sheet(sheet: Sheet) -> Iterator[Named]:
    """Every label on a score sheet."""
    for category in sheet.categories:
        yield Named(f"category '{category.key}', key label", category.label)
    for family in sheet.families:
        yield Named(f"family '{family.key}', key label", family.label)
        for term in family.terms:
            yield Named(f"term '{term.key}', key label", term.label)
    for fault in sheet.faults:
        yield Named(f"fault '{fault.key}', key label", fault.label)
    for place, band in enumerate(sheet.finish, start=1):
        yield Named(f"finish {place}, key label", band.label)


@contextmanager
def typefaces_for_names(
    names: Iterable[Named], tasting: Tasting, fonts: Path | None = None
) -> Iterator[Typefaces]:
    """Typefaces that have every letter of the names.

    Args:
        names: what is to be printed.
        tasting: says where the names come from, and of a folder of fonts to be preferred.
        fonts: another such folder, which goes before.

    Raises:
        InputError: there are names with letters that no typeface has; all are told, with where
            they stand.
    """
    lines = [(named, one_line(named.name, _LONGEST)) for named in names]
    with typefaces_for((line for _, line in lines), fonts or tasting.fonts) as typefaces:
        lacking = [(named, line) for named, line in lines if typefaces.lacking(line)]
        if lacking:
            raise _refusal(lacking, typefaces, str(tasting.source))
        yield typefaces


def _of_site(where: str, site: Site) -> Iterator[Named]:
    yield Named(f"{where}, key name", site.name)
    yield Named(f"{where}, key host", site.host)
    yield Named(f"{where}, key place", site.place)


def _refusal(lacking: Sequence[tuple[Named, str]], typefaces: Typefaces, file: str) -> InputError:
    count = f"{len(lacking):,} names" if len(lacking) > 1 else "1 name"
    lines = [
        f"  {named.where}: '{named.name}'{_in_script(typefaces.lacking(line), line)}"
        for named, line in lacking[:SHOWN]
    ]
    if len(lacking) > SHOWN:
        lines.append(f"  and {len(lacking) - SHOWN:,} more")
    return InputError(
        '\n'.join(
            [f"no typeface here has all the letters of {count}, and no paper was made", *lines]
        ),
        where=file,
        expected="names in letters of the shipped typeface or of a font on this machine",
        remedy=REMEDY,
    )


def _in_script(lacking: Sequence[str], line: str) -> str:
    """The scripts of what cannot be printed, as `(Georgian)`."""
    scripts = dict.fromkeys(run.script for run in runs(line) if run.text in lacking)
    said = [str(script_name(script)).replace('_', ' ') for script in scripts]
    return f" ({', '.join(said)})"
