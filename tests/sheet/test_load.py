"""Finding and reading score sheets."""

from __future__ import annotations

import tomllib
from contextlib import suppress
from pathlib import Path
from tempfile import TemporaryDirectory

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.sheet.mutation import mutated

from halfpoint.errors import FileNotReadable, HalfpointError, SheetError
from halfpoint.sheet.load import builtin_sheets, builtin_text, load_sheet
from halfpoint.sheet.schema import sheet_schema

SMALL = '''
key = "ours"
label = "Ours"
[[category]]
key = "taste"
label = "Taste"
top = 10
step = 1
'''


def refusal(tmp_path: Path, text: str) -> str:
    """What is said about a sheet file with this text."""
    path = tmp_path / 'ours.toml'
    path.write_text(text, 'utf-8')
    with pytest.raises(SheetError) as caught:
        load_sheet(path)
    return str(caught.value).replace(str(path), 'ours.toml')


class TestBuiltin:
    """The sheets that come with halfpoint."""

    def test_three_are_built_in(self) -> None:
        """Their names are the ones the documentation gives."""
        assert ('hundred-point', 'liking', 'twenty-point') == builtin_sheets()

    def test_twenty_point_is_the_common_division(self) -> None:
        """Common practice, no source: 3, 6, 6, 3 and 2 points in half points."""
        sheet = load_sheet('twenty-point')
        assert {category.key: category.top for category in sheet.categories} == {
            'appearance': 3,
            'aroma': 6,
            'taste': 6,
            'aftertaste': 3,
            'overall': 2,
        }
        assert {0.5} == {category.step for category in sheet.categories}
        assert (0, 20) == (sheet.lowest, sheet.top)

    def test_hundred_point_is_in_whole_points(self) -> None:
        """Our own division adds up to a hundred."""
        sheet = load_sheet('hundred-point')
        assert {1.0} == {category.step for category in sheet.categories}
        assert (0, 100) == (sheet.lowest, sheet.top)

    def test_liking_has_nine_points(self) -> None:
        """Peryam & Pilgrim (1957): one question, nine points, the fifth neither way."""
        sheet = load_sheet('liking')
        assert [(1, 9, 1)] == [(c.lowest, c.top, c.step) for c in sheet.categories]
        assert (8, 5) == (sheet.categories[0].steps, (sheet.lowest + sheet.top) / 2)

    @pytest.mark.parametrize('name', builtin_sheets())
    def test_every_mark_has_guidance(self, name: str) -> None:
        """A taster who asks what a mark means always gets an answer."""
        for category in load_sheet(name).categories:
            for step in range(category.steps + 1):
                assert category.guidance_for(category.lowest + step * category.step) is not None

    @pytest.mark.parametrize('name', builtin_sheets())
    def test_the_text_reads_as_the_sheet(self, name: str, tmp_path: Path) -> None:
        """A copied built-in sheet is the same sheet."""
        copy = tmp_path / 'copy.toml'
        copy.write_text(builtin_text(name), 'utf-8')
        assert load_sheet(name) == load_sheet(copy)

    def test_a_misspelt_name_gets_a_suggestion(self) -> None:
        """The refusal names the sheets there are."""
        with pytest.raises(SheetError, match="did you mean 'twenty-point'") as caught:
            load_sheet('twenty-points')
        assert "no score sheet is called 'twenty-points'" == caught.value.found

    def test_there_is_no_text_of_an_unknown_sheet(self) -> None:
        """Nor can a name reach outside the built-in sheets."""
        with pytest.raises(SheetError):
            builtin_text('../../halfpoint')


class TestFile:
    """Sheets of one's own."""

    def test_a_file_is_read(self, tmp_path: Path) -> None:
        """A byte order mark, as some editors write, is no hindrance."""
        path = tmp_path / 'ours.toml'
        path.write_text(SMALL, 'utf-8-sig')
        assert 'ours' == load_sheet(path).key

    def test_a_file_needs_no_particular_ending(self, tmp_path: Path) -> None:
        """Anything with a folder in it is a path, and so is a `Path`."""
        (tmp_path / 'ours').write_text(SMALL, 'utf-8')
        assert load_sheet(tmp_path / 'ours') == load_sheet(f'{tmp_path}/ours')

    def test_a_key_of_other_letters_is_refused(self, tmp_path: Path) -> None:
        """The refusal says what keys are made of."""
        said = refusal(tmp_path, SMALL.replace('"ours"', '"Ours!"'))
        assert "key key: found 'Ours!'" in said
        assert "small letters, digits, - and _, beginning with a letter" in said

    @pytest.mark.parametrize('said', ['en', 'de-AT', 'zh-Hant-TW', ''])
    def test_a_sheet_says_its_language(self, tmp_path: Path, said: str) -> None:
        """A language tag as in RFC 5646 (BCP 47), section 2.1, or none."""
        path = tmp_path / 'ours.toml'
        path.write_text(f'language = "{said}"{SMALL}', 'utf-8')
        assert said == load_sheet(path).language

    @pytest.mark.parametrize('said', ['English', 'e', 'de_AT', 'de-', 'en us', '<i>'])
    def test_what_is_no_language_is_refused(self, tmp_path: Path, said: str) -> None:
        """What no browser can speak by is told with what would do."""
        assert "such as 'en' or 'de-AT'" in refusal(tmp_path, f'language = "{said}"{SMALL}')

    def test_a_file_too_large_is_refused(self, tmp_path: Path) -> None:
        """Twenty megabytes of text are no score sheet."""
        with (tmp_path / 'ours.toml').open('wb') as file:
            file.truncate(20_000_001)
        with pytest.raises(SheetError, match='too large'):
            load_sheet(tmp_path / 'ours.toml')

    def test_a_missing_file_is_refused(self, tmp_path: Path) -> None:
        """The refusal names the file."""
        with pytest.raises(FileNotReadable, match=r'nowhere\.toml'):
            load_sheet(tmp_path / 'nowhere.toml')

    def test_a_folder_is_refused(self, tmp_path: Path) -> None:
        """A folder is not a sheet."""
        with pytest.raises(FileNotReadable):
            load_sheet(tmp_path)

    def test_a_name_no_file_can_have_is_refused(self) -> None:
        """A null character cannot be in a path."""
        with pytest.raises(HalfpointError):
            load_sheet('a\0b.toml')

    def test_junk_is_refused(self, tmp_path: Path) -> None:
        """Bytes that are not text are said to be so."""
        path = tmp_path / 'ours.toml'
        path.write_bytes(b'\x89PNG\r\n\x1a\n\xff\xfe')
        with pytest.raises(SheetError, match='not plain text'):
            load_sheet(path)

    def test_bad_toml_names_the_line(self, tmp_path: Path) -> None:
        """The line and column come with the refusal."""
        assert 'at line 3, column 9' in refusal(tmp_path, SMALL.replace('"Ours"', 'Ours'))

    def test_deep_nesting_is_refused(self, tmp_path: Path) -> None:
        """A file made to exhaust the reader ends in a refusal."""
        assert 'nested too deeply' in refusal(tmp_path, 'key = ' + '[' * 50_000)

    def test_one_problem_is_placed(self, tmp_path: Path) -> None:
        """File, table and key, what was found and what was expected."""
        expected = (
            "ours.toml, category 1 'taste', key top: found 'ten'\n"
            "expected: a number, without quotes\n"
            "what to do: mend the file and try again"
        )
        assert expected == refusal(tmp_path, SMALL.replace('10', '"ten"'))

    def test_all_problems_come_together(self, tmp_path: Path) -> None:
        """Nothing hides behind the first problem."""
        text = SMALL.replace('label = "Ours"', 'labl = "Ours"').replace('step = 1', 'step = 3')
        expected = (
            "ours.toml: 3 things need a look\n"
            "  key label: found nothing; expected this key, which is needed\n"
            "  category 1 'taste', key step: found 3; "
            "expected a step that divides 10, the distance from lowest to top\n"
            "  key labl: found an unknown key; expected one of key, label, about, language, "
            "category, family, fault, finish; did you mean 'label'?\n"
            "what to do: mend the file and try again"
        )
        assert expected == refusal(tmp_path, text)

    @settings(max_examples=300)
    @given(st.sampled_from(builtin_sheets()).flatmap(lambda name: mutated(builtin_text(name))))
    def test_any_file_is_a_sheet_or_refused(self, text: str) -> None:
        """However a sheet file is damaged, only a refusal of our own comes out."""
        with TemporaryDirectory() as folder:
            path = Path(folder, 'sheet.toml')
            path.write_bytes(text.encode('utf-8', 'surrogatepass'))
            with suppress(HalfpointError):
                assert load_sheet(path).key


class TestSchema:
    """The JSON Schema, judged by the `jsonschema` library."""

    def test_it_is_a_json_schema(self) -> None:
        """It follows draft 2020-12."""
        jsonschema.Draft202012Validator.check_schema(sheet_schema())

    @pytest.mark.parametrize('name', builtin_sheets())
    def test_it_accepts_the_built_in_sheets(self, name: str) -> None:
        """The files as written satisfy it."""
        jsonschema.validate(tomllib.loads(builtin_text(name)), sheet_schema())

    @pytest.mark.parametrize(
        ('old', 'new'),
        [('step = 1', 'step = "half"'), ('top = 10', ''), ('label = "Ours"', 'labl = "Ours"')],
    )
    def test_it_refuses_what_we_refuse(self, old: str, new: str) -> None:
        """An editor that knows the schema finds what we would."""
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate(tomllib.loads(SMALL.replace(old, new)), sheet_schema())

    def test_every_key_is_described(self) -> None:
        """An editor can show what each key means."""
        schema = sheet_schema()
        tables = [schema, *schema['$defs'].values()]
        bare = [
            key for t in tables for key, k in t['properties'].items() if not k.get('description')
        ]
        assert [] == bare
