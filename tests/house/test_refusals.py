"""Every way to refuse has a stable exit code of its own, and is documented."""

from __future__ import annotations

import subprocess
import sys

import pytest
from repository import ROOT

from halfpoint import errors
from halfpoint.errors import HalfpointError
from reference import exit_codes_page, refusals

CODES = {
    'HalfpointError': 1, 'UsageError': 2, 'InputError': 10, 'FileNotReadable': 11,
    'NotATable': 12, 'ColumnsNotFound': 13, 'NothingAccepted': 14, 'TastingFileError': 15,
    'SheetError': 16, 'NotAScan': 17, 'LedgerError': 20, 'LedgerAltered': 21, 'LedgerBusy': 22,
    'NotInLedger': 23, 'EstimateError': 30, 'TooFewMarks': 31, 'NoVariation': 32,
    'NotConverged': 33, 'OutputError': 40, 'DiskFull': 41,
}  # fmt: skip

ALL = [refusal for refusal in refusals() if refusal.__module__ == errors.__name__]


def test_codes_stay_the_same() -> None:
    """Each refusal keeps the exit code that scripts rely on; a new one is added here."""
    assert CODES == {refusal.__name__: refusal.exit_code for refusal in ALL}


def test_codes_are_distinct() -> None:
    """No two refusals share an exit code."""
    codes = [refusal.exit_code for refusal in ALL]
    assert len(codes) == len(set(codes))


@pytest.mark.parametrize('refusal', ALL, ids=lambda refusal: refusal.__name__)
def test_each_refusal_is_drawn_and_documented(refusal: type[HalfpointError]) -> None:
    """The tree at the top of errors.py and the page of exit codes show the refusal."""
    line = f'{refusal.__name__} '
    drawn = [row for row in (errors.__doc__ or '').splitlines() if line in row]
    assert [str(refusal.exit_code)] == [row.split(line)[1].split()[0] for row in drawn]
    assert f'| {refusal.exit_code} | `{refusal.__name__}` |' in exit_codes_page()


def test_every_refusal_lives_in_errors() -> None:
    """No module outside errors.py makes a class of refusal with a code of its own."""
    sources = (ROOT / 'src').rglob('*.py')
    elsewhere = [
        path.name
        for path in sources
        if path.name != 'errors.py' and '    exit_code = ' in path.read_text(encoding='utf-8')
    ]
    assert [] == elsewhere


def test_message_says_what_where_expected_and_remedy() -> None:
    """A refusal's text has what was found, where, what was expected and what to do."""
    refusal = HalfpointError("found", where="here", expected="that", remedy="mend it")
    assert "here: found\nexpected: that\nwhat to do: mend it" == str(refusal)


def test_command_ends_with_the_code_and_no_traceback(tmp_path) -> None:
    """On the command line a refusal is a message on standard error and its exit code."""
    (tmp_path / 'something').write_text('mine', encoding='utf-8')
    command = [sys.executable, '-c', 'from halfpoint.cli.main import run; run()']
    told = subprocess.run(
        [*command, 'demo', '--into', str(tmp_path)], capture_output=True, text=True, check=False
    )
    assert (errors.UsageError.exit_code, '') == (told.returncode, told.stdout)
    assert told.stderr.startswith(f'halfpoint: {tmp_path}: the folder holds other things\n')
