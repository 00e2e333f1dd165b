"""What `practice` does first: begin a practice file, or make a practice set for learners."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import astuple, dataclass
from pathlib import Path
from typing import Any

from halfpoint.cli import _practice_view as view
from halfpoint.errors import InputError, UsageError
from halfpoint.publish.export.read_back import read_result
from halfpoint.sheet.form import Sheet
from halfpoint.sheet.load import load_sheet
from halfpoint.sheet.words import did_you_mean, fold
from halfpoint.teach.diary import PastLevel, begin, read_diary
from halfpoint.teach.practice_set import PracticeSet, is_set, only, set_in, write_set
from halfpoint.teach.prior import Prior
from halfpoint.teach.reference import TOTAL, Reference, own_prior, reference_of
from halfpoint.teach.years import as_prior, expected_of, kept_over, panel_of, read_years


@dataclass(frozen=True, slots=True)
class OwnRecord:
    """Whose record to start from: a taster of the result, or a pseudonym of `years`."""

    taster: str | None
    years: Path | None

    def check(self, result: Path | None) -> None:
        """Refuse half of it.

        Raises:
            UsageError: naming what is missing.
        """
        if self.taster is not None and result is None:
            raise UsageError(
                "--taster without --from", where="--taster", expected="--from beside it"
            )
        if self.years is not None and (result is None or self.taster is None):
            raise UsageError(
                "--years alone",
                where="--years",
                expected="--from, and --taster with the pseudonym of a member",
                remedy="halfpoint years --member NAME says the pseudonym",
            )


def begin_practice(
    path: Path, result: Path | None, record: OwnRecord, sheet: str | None, *, own: bool
) -> None:
    """Begin a practice file, or go on in one with another reference."""
    if own and result is not None:
        raise UsageError("--own and --from together", where="practice", expected="one of them")
    record.check(result)
    if result is None:
        chosen = _sheet_of(path, sheet)
        begin(path, chosen, None)
        view.print_begun(path, chosen, None)
        return
    chosen, reference, prior, past = _compared_with(path, result, record, sheet)
    begin(path, chosen, reference, prior, past)
    view.print_begun(path, chosen, reference)


Own = tuple[Prior | None, tuple[PastLevel, ...]]


def _compared_with(
    path: Path, result: Path, record: OwnRecord, sheet: str | None
) -> tuple[Sheet, Reference, Prior | None, tuple[PastLevel, ...]]:
    """The sheet, the reference, and the learner's own record, of a past result or a set."""
    read = read_result(result)
    if is_set(read):
        if record.taster is not None and record.years is None:
            raise UsageError(
                "a practice set holds no tasters",
                where="--taster",
                expected="the result of a tasting with --from",
                remedy="leave --taster out",
            )
        made = set_in(read, str(result))
        if sheet is not None and load_sheet(sheet) != made.sheet:
            raise UsageError(
                f"'{sheet}'",
                where="--sheet",
                expected=f"the sheet of the practice set, {made.sheet.label}",
                remedy="leave --sheet out",
            )
        return made.sheet, made.reference, *_own(read, record, made.reference, str(result))
    chosen = _sheet_of(path, sheet)
    reference = reference_of(read, chosen, str(result))
    return chosen, reference, *_own(read, record, reference, str(result))


def _own(read: Any, record: OwnRecord, reference: Reference, where: str) -> Own:
    """The learner's own record as a prior, and their levels of earlier years."""
    if record.taster is None:
        return None, ()
    panel = reference.priors[TOTAL]
    if record.years is None:
        return own_prior(read, record.taster, panel, where), ()
    years = read_years(record.years)
    lie = panel_of(panel.severity_sd, panel.spread_sd, panel.noise, panel.freedom)
    expected = expected_of(years, record.taster, lie, '', kept_over(years))
    if expected is None:
        raise InputError(
            f"nothing of '{record.taster}'",
            where=str(record.years),
            expected="the pseudonym of a member who marked enough wines at some tasting",
            remedy="halfpoint years --member NAME says the pseudonym",
        )
    past = tuple(
        PastLevel(year.date[:4] or year.title, *astuple(told['severity']))
        for year, told in years.of(record.taster)
    )
    return as_prior(expected), past


def make_set(
    result: Path | None,
    into: Path | None,
    sheet: str | None,
    wines: Sequence[str],
    practice: Path | None,
) -> None:
    """Write a practice set for learners from a past result.

    Raises:
        UsageError: no result, no file, a practice file beside it, or a wine that is not there.
    """
    if result is None or into is None or practice is not None:
        raise UsageError(
            "a practice file beside --set" if practice else "a practice set half asked for",
            where="practice",
            expected="--from RESULT.json --set FILE.json, without a practice file",
        )
    if into.exists() and into.resolve() == result.resolve():
        raise UsageError(
            "the result itself", where="--set", expected="another file than that of --from"
        )
    chosen = load_sheet(sheet or 'twenty-point')
    reference = reference_of(read_result(result), chosen, str(result))
    if wines:
        reference = only(reference, _those(wines, reference))
    write_set(into, PracticeSet(chosen, reference))
    view.print_set(into, chosen, reference)


def _those(wines: Sequence[str], reference: Reference) -> tuple[str, ...]:
    """Wines of the reference by the names given, each once.

    Raises:
        UsageError: a wine that is not there.
    """
    by_fold = {fold(wine): wine for wine in reference.wines}
    for wine in wines:
        if fold(wine) not in by_fold:
            raise UsageError(
                f"'{wine}'",
                where="--only",
                expected=f"a wine of {reference.title}{did_you_mean(wine, by_fold.values())}",
            )
    return tuple(dict.fromkeys(by_fold[fold(wine)] for wine in wines))


def _sheet_of(path: Path, sheet: str | None) -> Sheet:
    if sheet is None and path.exists():
        return read_diary(path).sheet
    return load_sheet(sheet or 'twenty-point')
