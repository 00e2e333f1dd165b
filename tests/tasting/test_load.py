"""Reading the tasting file."""

from __future__ import annotations

import tomllib
from contextlib import suppress
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

import jsonschema
import pytest
from hypothesis import given, settings
from tests.sheet.mutation import mutated

from halfpoint.errors import FileNotReadable, HalfpointError, TastingFileError
from halfpoint.sheet.load import builtin_text, load_sheet
from halfpoint.tasting.load import load_tasting, tasting_schema
from halfpoint.tasting.model import Tasting

FULL = """
[tasting]
key = "spring"
title = "Spring tasting"
sheet = "twenty-point"
opens = 2031-04-01
closes = 2031-04-30
currency = "EUR"
invented = true

[[wine]]
key = "W01"
name = "Amber Hill"
style = "white"
grape = "Pale Quillon"
vintage = 2029
alcohol = 12.5
price = 14
sweetness = "dry"
bottles = 9

[[wine]]
key = "W02"
name = "Long Meadow"

[[site]]
key = "north"
name = "North room"
host = "Ilse"
place = "Underwick"

[[taster]]
key = "t1"
name = "Jo Tarn"
site = "north"
consent = true
"""


def read(folder: Path, text: str) -> Tasting:
    """The tasting in a file with this text."""
    path = folder / 'spring.toml'
    path.write_text(text, 'utf-8')
    return load_tasting(path)


def refusal(folder: Path, *changes: tuple[str, str]) -> str:
    """What is said about the full file so changed."""
    text = FULL
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    with pytest.raises(TastingFileError) as caught:
        read(folder, text)
    return str(caught.value).replace(f'{folder}/', '')


class TestReading:
    """A file that says nothing impossible."""

    def test_everything_written_is_kept(self, tmp_path: Path) -> None:
        """Each key arrives with its type."""
        tasting = read(tmp_path, FULL)
        assert ('spring', "Spring tasting", True) == (tasting.key, tasting.title, tasting.invented)
        assert (date(2031, 4, 1), date(2031, 4, 30)) == (tasting.opens, tasting.closes)
        assert {
            'key': "W01",
            'name': "Amber Hill",
            'style': 'white',
            'grape': "Pale Quillon",
            'vintage': 2029,
            'alcohol': 12.5,
            'price': 14.0,
            'sweetness': 'dry',
            'bottles': 9,
        } == tasting.wines[0].model_dump()
        assert "Underwick" == tasting.sites[0].place
        assert tasting.tasters[0].consent

    def test_a_short_file_is_enough(self, tmp_path: Path) -> None:
        """A key, a title and one wine; the rest has defaults."""
        text = '[tasting]\nkey="a"\ntitle="A"\n[[wine]]\nkey="w"\nname="W"\n'
        tasting = read(tmp_path, text)
        assert load_sheet('twenty-point') == tasting.sheet
        assert ((), (), None, '') == (
            tasting.sites,
            tasting.tasters,
            tasting.opens,
            tasting.currency,
        )

    def test_a_tasting_may_close_the_day_it_opens(self, tmp_path: Path) -> None:
        """One evening is enough."""
        assert date(2031, 4, 1) == read(tmp_path, FULL.replace("04-30", "04-01")).closes

    def test_the_record_lies_beside_the_file(self, tmp_path: Path) -> None:
        """Without a key `ledger` it has the name of the file."""
        assert tmp_path / 'spring.ledger' == read(tmp_path, FULL).ledger
        assert tmp_path / 'spring.toml' == read(tmp_path, FULL).source

    def test_paths_are_taken_from_the_file(self, tmp_path: Path) -> None:
        """Sheet and record are found from wherever the command is run."""
        (tmp_path / 'ours').mkdir()
        (tmp_path / 'ours/sheet.toml').write_text(builtin_text('liking'), 'utf-8')
        text = FULL.replace('"twenty-point"', '"ours/sheet.toml"\nledger = "kept/record.db"')
        tasting = read(tmp_path, text)
        assert 'liking' == tasting.sheet.key
        assert tmp_path / 'kept/record.db' == tasting.ledger


class TestRefusing:
    """Files that say something impossible."""

    @pytest.mark.parametrize(
        ('old', 'new', 'where', 'found', 'expected'),
        [
            ("12.5", '"12,5"', "wine 1 'W01', key alcohol", "'12,5'", "a number, without quotes"),
            ("12.5", "true", "wine 1 'W01', key alcohol", "true", "a number, without quotes"),
            ("12.5", "125", "wine 1 'W01', key alcohol", "125", "30 or less"),
            ("12.5", "nan", "wine 1 'W01', key alcohol", "nan", "a finite number"),
            ("bottles = 9", "bottles = -1", "wine 1 'W01', key bottles", "-1", "0 or more"),
            (
                "bottles = 9",
                "bottles = 9.5",
                "wine 1 'W01', key bottles",
                "9.5",
                "a whole number, without quotes",
            ),
            (
                '"white"',
                '"whte"',
                "wine 1 'W01', key style",
                "'whte'",
                (
                    "one of sparkling, white, rose, orange, red, sweet, fortified; "
                    "did you mean 'white'?"
                ),
            ),
            (
                'grape =',
                'grap =',
                "wine 1 'W01', key grap",
                "an unknown key",
                (
                    "one of key, name, style, grape, vintage, alcohol, price, sweetness, bottles; "
                    "did you mean 'grape'?"
                ),
            ),
            (
                'name = "Long Meadow"',
                '',
                "wine 2 'W02', key name",
                "nothing",
                "this key, which is needed",
            ),
            ('"Long Meadow"', '" "', "wine 2 'W02', key name", "' '", "some text"),
            (
                '"W02"',
                '"w01"',
                "wine 2 'w01', key key",
                "'w01' again",
                "a key of its own; wine 1 has it already",
            ),
            (
                'site = "north"',
                'site = "nort"',
                "taster 1 't1', key site",
                "'nort'",
                "the key of a [[site]] in this file; did you mean 'north'?",
            ),
            (
                "2031-04-30",
                "2031-03-30",
                "tasting, key closes",
                "2031-03-30",
                "2031-04-01 or later, when it opens",
            ),
            (
                "2031-04-30",
                '"30 April"',
                "tasting, key closes",
                "'30 April'",
                "a date such as 2026-05-30, without quotes",
            ),
            (
                '"twenty-point"',
                '"twenty"',
                "tasting, key sheet",
                "no score sheet is called 'twenty'",
                (
                    "one of hundred-point, liking, twenty-point, or a TOML file; "
                    "did you mean 'twenty-point'?"
                ),
            ),
            ("[[site]]", "[site]", "site", "[site]", "[[site]], with double brackets"),
            (
                "[[taster]]",
                "[[tasters]]",
                "tasters",
                "an unknown key",
                "one of tasting, wine, site, taster, plan, print; did you mean 'taster'?",
            ),
        ],
    )
    def test_each_problem_is_placed(
        self, tmp_path: Path, old: str, new: str, where: str, found: str, expected: str
    ) -> None:
        """File, table and key, what was found, what was expected, what to do."""
        said = (
            f"spring.toml, {where}: found {found}\n"
            f"expected: {expected}\n"
            "what to do: mend the file and try again"
        )
        # With [site] there is no site list, so the taster's site is unknown as well.
        more = [('site = "north"', '')] if new == "[site]" else []
        assert said == refusal(tmp_path, (old, new), *more)

    def test_a_record_in_place_of_the_file_is_refused(self, tmp_path: Path) -> None:
        """The record would be written over the tasting file itself."""
        said = refusal(tmp_path, ('"EUR"', '"EUR"\nledger = "spring.toml"'))
        assert "tasting, key ledger: found 'spring.toml', which is this file" in said

    def test_names_are_one_line(self, tmp_path: Path) -> None:
        """A line break in a name would break tables and letters."""
        said = refusal(tmp_path, ('"Amber Hill"', r'"Amber\nHill"'))
        assert "wine 1 'W01', key name" in said
        assert "expected: one line of plain text" in said

    def test_a_sheet_name_too_long_for_a_file_is_refused(self, tmp_path: Path) -> None:
        """Text that is neither a sheet nor a possible file gets the same refusal."""
        assert "key sheet: found" in refusal(tmp_path, ('"twenty-point"', f'"{"a" * 300}"'))
        assert "key sheet: found" in refusal(tmp_path, ('"twenty-point"', f'"{"a/" * 300}"'))

    def test_all_problems_come_together(self, tmp_path: Path) -> None:
        """A misspelt style does not hide a repeated key, nor either the dates."""
        said = refusal(
            tmp_path, ('"white"', '"whte"'), ('"W02"', '"W01"'), ("2031-04-30", "2031-03-30")
        )
        assert "spring.toml: 3 things need a look" == said.splitlines()[0]
        for place in ("wine 2 'W01', key key", "wine 1 'W01', key style", "tasting, key closes"):
            assert f"  {place}: found " in said

    def test_a_file_without_tables_says_which_are_needed(self, tmp_path: Path) -> None:
        """An empty file is told what to begin with."""
        with pytest.raises(TastingFileError) as caught:
            read(tmp_path, '')
        assert "a [tasting] table" in str(caught.value)
        assert "at least one [[wine]] table" in str(caught.value)

    def test_bad_toml_names_the_line(self, tmp_path: Path) -> None:
        """The line and column come with the refusal."""
        assert 'at line 3, column 7' in refusal(tmp_path, ('"spring"', 'spring'))

    def test_a_missing_file_is_refused(self, tmp_path: Path) -> None:
        """The refusal names the file and has the exit code of unreadable files."""
        with pytest.raises(FileNotReadable, match=r'nowhere\.toml') as caught:
            load_tasting(tmp_path / 'nowhere.toml')
        assert 11 == caught.value.exit_code

    def test_a_sheet_with_problems_is_named(self, tmp_path: Path) -> None:
        """What is wrong in the sheet file is told with the tasting file that uses it."""
        (tmp_path / 'ours.toml').write_text('key = 1', 'utf-8')
        said = refusal(tmp_path, ('"twenty-point"', '"ours.toml"'))
        assert "spring.toml, tasting, key sheet: found ours.toml" in said

    @settings(max_examples=300)
    @given(mutated(FULL))
    def test_any_file_is_a_tasting_or_refused(self, text: str) -> None:
        """However a tasting file is damaged, only a refusal of our own comes out."""
        with TemporaryDirectory() as folder:
            path = Path(folder, 'tasting.toml')
            path.write_bytes(text.encode('utf-8', 'surrogatepass'))
            with suppress(HalfpointError):
                assert load_tasting(path).key


class TestSchema:
    """The JSON Schema, judged by the `jsonschema` library."""

    def test_it_is_a_json_schema(self) -> None:
        """It follows draft 2020-12."""
        jsonschema.Draft202012Validator.check_schema(tasting_schema())

    def test_it_accepts_a_full_file(self) -> None:
        """JSON has no dates, so those are compared as text."""
        raw = tomllib.loads(FULL)
        raw['tasting'] |= {key: str(raw['tasting'][key]) for key in ('opens', 'closes')}
        jsonschema.validate(raw, tasting_schema())

    @pytest.mark.parametrize('change', [{'alcohol': 'much'}, {'style': 'blue'}, {'colour': 'red'}])
    def test_it_refuses_what_we_refuse(self, change: dict[str, str]) -> None:
        """An editor that knows the schema finds what we would."""
        raw = {'tasting': {'key': 'a', 'title': 'A'}, 'wine': [{'key': 'w', 'name': 'W'} | change]}
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate(raw, tasting_schema())

    def test_every_key_is_described(self) -> None:
        """An editor can show what each key means."""
        tables = tasting_schema()['$defs'].values()
        keys = [key for table in tables for key in table['properties'].items()]
        assert [] == [name for name, key in keys if not key.get('description')]
