"""Every way halfpoint can refuse, with a stable exit code for each.

    HalfpointError                    1
    ├── UsageError                    2   an option that does not fit
    ├── InputError                   10   something handed to us
    │   ├── FileNotReadable          11   missing, a folder, no permission
    │   ├── NotATable                12   binary junk, bomb, empty, no header
    │   ├── ColumnsNotFound          13   a needed column is not there
    │   ├── NothingAccepted          14   every row was held
    │   ├── TastingFileError         15   the tasting file
    │   ├── SheetError               16   the score sheet
    │   └── NotAScan                 17   no picture of a page, encrypted, cut off
    ├── LedgerError                  20   the record
    │   ├── LedgerAltered            21   the hash chain does not hold
    │   ├── LedgerBusy               22   another process keeps it locked
    │   └── NotInLedger              23   no such entry, taster, wine
    ├── EstimateError                30   the marks do not allow the estimate
    │   ├── TooFewMarks              31   one wine, one taster, too few marks
    │   ├── NoVariation              32   every mark is the same
    │   └── NotConverged             33   the optimum was not reached
    └── OutputError                  40   a file could not be written
        └── DiskFull                 41

`halfpoint.cli.main` is the one place that turns them into a message.
"""

from __future__ import annotations


class HalfpointError(Exception):
    """Base of all refusals.

    Args:
        found: what was found, in words.
        where: file, table, row, field or option it was found in.
        expected: what would have been accepted.
        remedy: what to do now.
    """

    exit_code = 1

    def __init__(
        self,
        found: str,
        *,
        where: str = '',
        expected: str = '',
        remedy: str = '',
    ) -> None:
        super().__init__(found)
        self.found = found
        self.where = where
        self.expected = expected
        self.remedy = remedy

    def __str__(self) -> str:
        place = f'{self.where}: ' if self.where else ''
        lines = [f'{place}{self.found}']
        if self.expected:
            lines.append(f'expected: {self.expected}')
        if self.remedy:
            lines.append(f'what to do: {self.remedy}')
        return '\n'.join(lines)


class UsageError(HalfpointError):
    """An option or argument does not fit."""

    exit_code = 2


class InputError(HalfpointError):
    """Something handed to us cannot be used."""

    exit_code = 10


class FileNotReadable(InputError):
    """A file is missing, is a folder, or may not be read."""

    exit_code = 11


class NotATable(InputError):
    """A file is not a table of marks: empty, binary, too large when unpacked."""

    exit_code = 12


class ColumnsNotFound(InputError):
    """A table lacks a column that is needed."""

    exit_code = 13


class NothingAccepted(InputError):
    """Every row of a table was held."""

    exit_code = 14


class TastingFileError(InputError):
    """The tasting file says something impossible."""

    exit_code = 15


class SheetError(InputError):
    """A score sheet says something impossible, or is not known."""

    exit_code = 16


class NotAScan(InputError):
    """A file is no picture of a page: empty, encrypted, cut off, or of another kind."""

    exit_code = 17


class LedgerError(HalfpointError):
    """The record could not be read or written."""

    exit_code = 20


class LedgerAltered(LedgerError):
    """The record was changed outside halfpoint."""

    exit_code = 21


class LedgerBusy(LedgerError):
    """Another process keeps the record locked."""

    exit_code = 22


class NotInLedger(LedgerError):
    """Asked for something that the record does not hold."""

    exit_code = 23


class EstimateError(HalfpointError):
    """The marks do not allow the estimate asked for."""

    exit_code = 30


class TooFewMarks(EstimateError):
    """One wine, one taster, or too few marks for the model."""

    exit_code = 31


class NoVariation(EstimateError):
    """Every mark is the same, or the model explains them without remainder."""

    exit_code = 32


class NotConverged(EstimateError):
    """The optimum was not reached."""

    exit_code = 33


class OutputError(HalfpointError):
    """A file could not be written."""

    exit_code = 40


class DiskFull(OutputError):
    """No space was left while writing."""

    exit_code = 41
