"""`halfpoint print` with names in other scripts: printed whole, or refused by name."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
import typst
from click.testing import Result
from numpy.typing import NDArray
from tests.typeface.made import make_font
from typer.testing import CliRunner

from halfpoint.cli.main import app
from halfpoint.errors import InputError
from halfpoint.typeface import choosing, font_directory
from halfpoint.typeface.choosing import typefaces_for
from halfpoint.typeface.machine import font_folders

TASTING = """
[tasting]
key = "spring"
title = "Spring round (invented)"
invented = true
[plan]
seats = 2
[[site]]
key = "north"
name = "სახლი"
[[site]]
key = "south"
name = "South room"
host = "ნინო"
[[taster]]
key = "gio"
name = "გიო Levy"
site = "south"
[[wine]]
key = "w1"
name = "Zq Ossel"
[[wine]]
key = "w2"
name = "Zq ღვინო"
"""
LETTERS = ''.join(sorted({letter for letter in TASTING if 'ა' <= letter <= 'ჿ'}))
BOTH = pytest.mark.parametrize('options', [('--sheets', '--blanks', '1'), ()], ids=str)
Image = NDArray[np.uint8]
DOTS = 300


def halfpoint(*arguments: object) -> Result:
    """Run the command line."""
    return CliRunner().invoke(app, [str(argument) for argument in arguments])


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A planned tasting with Georgian names, on a machine without fonts."""
    (tmp_path / 'spring.toml').write_text(TASTING, encoding='utf-8')
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(choosing, 'font_folders', lambda: ())
    assert 0 == halfpoint('plan', 'spring.toml', '--into', 'plan').exit_code
    return tmp_path


def contents(folder: Path) -> dict[str, bytes]:
    """All papers of a folder by name."""
    files = sorted(folder.rglob('*.pdf'))
    return {str(file.relative_to(folder)): file.read_bytes() for file in files}


def text(pdf: bytes) -> str:
    """All the text of a PDF."""
    with closing(pypdfium2.PdfDocument(pdf)) as document:
        return '\n'.join(page.get_textpage().get_text_bounded() for page in document)


def letters(pdf: bytes, wanted: str) -> dict[str, Image]:
    """How each wanted letter looks where PDFium finds it on the first page."""
    found = {}
    with closing(pypdfium2.PdfDocument(pdf)) as document:
        page = document[0]
        image = page.render(scale=DOTS / 72, grayscale=True).to_numpy()
        words, height = page.get_textpage(), page.get_height()
        for place, letter in enumerate(words.get_text_range()):
            if letter in wanted:
                left, bottom, right, top = (v * DOTS / 72 for v in words.get_charbox(place))
                high = height * DOTS / 72
                crop = image[round(high - top) : round(high - bottom), round(left) : round(right)]
                found[letter] = crop.reshape(crop.shape[:2])
    return found


@BOTH
def test_a_font_in_a_folder_prints_the_names(folder: Path, options: tuple[str, ...]) -> None:
    """With --fonts every name is there, and each letter is the font's square, not its frame."""
    make_font(folder / 'fonts/squares.ttf', LETTERS)
    told = halfpoint('print', 'spring.toml', '--into', 'papers', '--fonts', 'fonts', *options)
    assert 0 == told.exit_code, told.exception
    papers = contents(folder / 'papers')
    sheet = papers['south/score-sheets.pdf' if options else 'south/seat-labels.pdf']
    assert "გიო Levy" in text(sheet)
    shown = letters(sheet, "გიო")
    assert set("გიო") == set(shown)
    # The square fills 90 % of its width and all its height; the frame would be white inside.
    assert all((image[2:-2, 2:-2] < 128).mean() > 0.85 for image in shown.values())


@BOTH
def test_the_tasting_file_may_name_the_folder(folder: Path, options: tuple[str, ...]) -> None:
    """`fonts` under [print] is taken from the folder of the tasting file; bytes are the same."""
    make_font(folder / 'fonts/squares.ttf', LETTERS)
    with (folder / 'spring.toml').open('a') as file:
        file.write('[print]\nfonts = "fonts"\n')
    for into in ('one', 'two'):
        assert 0 == halfpoint('print', 'spring.toml', '--into', into, *options).exit_code
    assert contents(folder / 'one')
    assert contents(folder / 'one') == contents(folder / 'two')


@BOTH
def test_without_a_font_each_name_is_told(folder: Path, options: tuple[str, ...]) -> None:
    """Whose name, where, in which script and what to do; nothing is printed."""
    told = halfpoint('print', 'spring.toml', '--into', 'papers', *options)
    assert isinstance(told.exception, InputError)
    said = str(told.exception)
    assert "site 1 'north', key name: 'სახლი' (Georgian)" in said
    assert "site 2 'south', key host: 'ნინო' (Georgian)" in said
    assert "taster 1 'gio', key name: 'გიო Levy' (Georgian)" in said
    assert ("wine 2 'w2', key name" in said) == (not options)
    assert "fonts-noto-core" in told.exception.remedy
    assert "--fonts DIR" in told.exception.remedy
    assert not (folder / 'papers').exists()


def test_score_sheets_do_not_ask_for_the_letters_of_wines(folder: Path) -> None:
    """Only what stands on a paper is asked for: sheets name no wine, table cards no taster."""
    make_font(folder / 'fonts/some.ttf', "სახლიგონ")
    sheets = ('--sheets', '--fonts', 'fonts')
    assert 0 == halfpoint('print', 'spring.toml', '--into', 'sheets', *sheets).exit_code
    make_font(folder / 'few/few.ttf', "ნიო")
    cards = ('--only', 'table-cards', '--site', 'south', '--fonts', 'few')
    assert 0 == halfpoint('print', 'spring.toml', '--into', 'cards', *cards).exit_code
    told = halfpoint('print', 'spring.toml', '--into', 'papers', '--fonts', 'fonts')
    assert isinstance(told.exception, InputError)
    assert "no typeface here has all the letters of 1 name, " in told.exception.found
    assert "wine 2 'w2', key name: 'Zq ღვინო'" in told.exception.found


def test_ten_names_are_told_and_the_rest_counted(folder: Path) -> None:
    """A long list of names is cut after ten."""
    more = ''.join(f'[[taster]]\nkey = "t{n}"\nname = "ა{n}"\nsite = "north"\n' for n in range(20))
    (folder / 'spring.toml').write_text(TASTING.replace("seats = 2", "seats = 20") + more)
    assert 0 == halfpoint('plan', 'spring.toml', '--into', 'again').exit_code
    told = halfpoint('print', 'spring.toml', '--into', 'papers', '--sheets')
    assert isinstance(told.exception, InputError)
    assert 12 == len(told.exception.found.splitlines())
    assert told.exception.found.endswith("  and 13 more")


def test_labels_of_a_score_sheet_follow_the_rule(folder: Path) -> None:
    """A label that no font has is named with its category."""
    (folder / 'own.toml').write_text(
        'key = "own"\nlabel = "Own"\n'
        '[[category]]\nkey = "taste"\nlabel = "გემო"\ntop = 5\nstep = 1\n'
        '[[category]]\nkey = "look"\nlabel = "Look"\ntop = 5\nstep = 1\n'
    )
    (folder / 'spring.toml').write_text(
        TASTING.replace('invented = true', 'invented = true\nsheet = "own.toml"')
    )
    assert 0 == halfpoint('plan', 'spring.toml', '--into', 'again').exit_code
    told = halfpoint('print', 'spring.toml', '--into', 'papers', '--sheets')
    assert isinstance(told.exception, InputError)
    assert "category 'taste', key label: 'გემო' (Georgian)" in told.exception.found
    make_font(folder / 'fonts/squares.ttf', LETTERS + "ემ")
    again = halfpoint('print', 'spring.toml', '--into', 'p', '--sheets', '--fonts', 'fonts')
    assert 0 == again.exit_code, again.exception
    assert "გემო" in text(contents(folder / 'p')['south/score-sheets.pdf'])


@pytest.mark.parametrize(('fonts', 'found'), [('none', "no such folder"), ('plan', "no fonts")])
def test_a_folder_without_fonts_is_refused(folder: Path, fonts: str, found: str) -> None:
    """The folder is named, and nothing is printed."""
    told = halfpoint('print', 'spring.toml', '--into', 'papers', '--fonts', fonts)
    assert isinstance(told.exception, InputError)
    assert (found, fonts) == (told.exception.found, told.exception.where)
    assert not (folder / 'papers').exists()


@pytest.mark.parametrize(
    'name', ["საფერავი", "Հայկազ", "שלום", "سارة", "देवी", "ไทย", "東京", "서울", "தமிழ்"]
)
def test_fonts_of_this_machine_print_no_box(name: str, folder: Path) -> None:
    """No letter looks like the sign for a missing one, as Typst sets it where a letter lacks."""
    places = [place for place in font_folders() if place.is_dir()]
    written = TASTING.replace("გიო Levy", name).replace("სახლი", "North").replace("ნინო", "Nino")
    (folder / 'spring.toml').write_text(written.replace("ღვინო", "Ossel"))
    for place in places:
        try:
            with typefaces_for([name], place) as typefaces:
                lacking = typefaces.lacking(name)
        except InputError:
            continue
        if not lacking:
            break
    else:
        pytest.skip("no font for it on this machine")
    told = halfpoint('print', 'spring.toml', '--sheets', '--into', 'papers', '--fonts', place)
    assert 0 == told.exit_code, told.exception
    shown = letters(contents(folder / 'papers')['south/score-sheets.pdf'], name)
    assert len(shown) >= len(set(name)) // 2
    box = _box()
    assert all(_alike(image, box) < 0.9 for image in shown.values())
    assert _alike(box, box) > 0.9


def _box() -> Image:
    """The shipped typeface's sign for a missing letter, without white around it."""
    source = b'#set text(font: "Inter", fallback: false, size: 40pt)\n\xe1\x83\xa6'
    fonts = typst.Fonts(include_system_fonts=False, font_paths=[font_directory()])
    compiler = typst.Compiler(source, font_paths=fonts, ignore_system_fonts=True)
    pdf = compiler.compile(format='pdf')
    assert isinstance(pdf, bytes)
    with closing(pypdfium2.PdfDocument(pdf)) as document:
        image = document[0].render(scale=DOTS / 72, grayscale=True).to_numpy()
    image = image.reshape(image.shape[:2])
    rows, columns = np.nonzero(image < 128)
    return image[rows.min() : rows.max() + 1, columns.min() : columns.max() + 1]


def _alike(one: Image, other: Image) -> float:
    """Correlation of two crops, each cut to its ink and brought to 24 × 24."""
    grids = []
    for image in (one, other):
        rows, columns = np.nonzero(image < 128)
        inked = image[rows.min() : rows.max() + 1, columns.min() : columns.max() + 1]
        down = np.linspace(0, inked.shape[0] - 1, 24).round().astype(int)
        across = np.linspace(0, inked.shape[1] - 1, 24).round().astype(int)
        grids.append(inked[np.ix_(down, across)].astype(float).ravel())
    return float(np.corrcoef(*grids)[0, 1])
