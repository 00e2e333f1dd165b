"""Which fonts are set beside the shipped typeface, and which names are left without."""

from __future__ import annotations

from pathlib import Path

import pytest
import typst
from fontTools.ttLib import TTCollection, TTFont
from tests.typeface.made import make_font

from halfpoint.errors import InputError
from halfpoint.typeface import choosing
from halfpoint.typeface.choosing import SHIPPED, Typefaces, typefaces_for
from halfpoint.typeface.letters import one_line

NINO, KEI = "ნინო", "東京"


@pytest.fixture
def fonts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder that stands for the fonts of the machine."""
    folder = tmp_path / 'installed'
    folder.mkdir()
    monkeypatch.setattr(choosing, 'font_folders', lambda: (folder,))
    return folder


def families(typefaces: Typefaces) -> list[str]:
    """What the fonts beside the shipped one are called."""
    return [font.family for font in typefaces.beside]


def lacking(*names: str, first: Path | None = None) -> list[str]:
    """The names that cannot be printed."""
    lines = [one_line(name, 90) for name in names]
    with typefaces_for(lines, first) as typefaces:
        return [n for n, line in zip(names, lines, strict=True) if typefaces.lacking(line)]


def test_names_of_the_shipped_typeface_look_for_no_font(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where nothing is needed, nothing on the machine is opened."""
    monkeypatch.setattr(choosing, 'font_files', pytest.fail)
    with typefaces_for(["Zoë", "Ξινόμαυρο"]) as typefaces:
        assert typefaces is SHIPPED


def test_a_font_with_the_letters_is_taken(fonts: Path) -> None:
    """A font found on the machine prints the name; one that is not needed stays out."""
    make_font(fonts / 'deep/below/one.ttf', NINO, family="One")
    make_font(fonts / 'two.ttf', "שרה", family="Two")
    with typefaces_for([NINO, "Zoë"]) as typefaces:
        assert ["One"] == families(typefaces)
        assert () == typefaces.lacking(NINO)
        assert (KEI,) == typefaces.lacking(KEI)
        with pytest.raises(InputError, match=KEI):
            typefaces.checked(KEI)


def test_a_folder_that_is_given_goes_first(fonts: Path, tmp_path: Path) -> None:
    """The same letters are taken from the folder given, and else from the machine."""
    make_font(fonts / 'sans.ttf', NINO, family="Installed")
    make_font(tmp_path / 'own/mine.ttf', NINO, family="Mine")
    with typefaces_for([NINO], tmp_path / 'own') as given, typefaces_for([NINO]) as found:
        assert (["Mine"], ["Installed"]) == (families(given), families(found))


def test_one_font_with_all_letters_goes_before_many(fonts: Path) -> None:
    """A script is in one font where one has all of it, and in few where none has."""
    make_font(fonts / 'notosans-a.ttf', "東", family="A")
    make_font(fonts / 'zz.ttf', "東京", family="Whole")
    with typefaces_for([KEI, "東"]) as typefaces:
        assert ["Whole"] == families(typefaces)
    make_font(fonts / 'rare.ttf', "圭", family="Rare")
    with typefaces_for([KEI, "圭"]) as typefaces:
        assert ["Rare", "Whole"] == sorted(families(typefaces))
        assert set() == {*typefaces.lacking(KEI), *typefaces.lacking("圭")}


def test_letters_that_join_are_not_parted_over_fonts(fonts: Path) -> None:
    """A name in Arabic needs one font that has its letters and the rules to join them."""
    make_font(fonts / 'plain.ttf', "سارة", family="No rules")
    assert ["سارة"] == lacking("سارة")
    make_font(fonts / 'arabic.ttf', "سارة", family="Rules", script='arab')
    make_font(fonts / 'more.ttf', "شديسا", family="More", script='arab')
    assert ["شديد"] == lacking("سارة", "شديد")


@pytest.mark.parametrize(
    'flaw',
    [
        {'embedding': 2}, {'empty': "ი"}, {'as_missing': "ი"}, {'one_glyph': True},
        {'family': "Inter"},
    ],
    ids=['no embedding', 'empty shape', 'box', 'last resort', 'our name'],
)  # fmt: skip
def test_fonts_that_would_not_show_the_name_are_left(fonts: Path, flaw: dict[str, str]) -> None:
    """Not allowed into a PDF (fsType 2), an empty shape, a box for the letter, or for every one."""
    make_font(fonts / 'flawed.ttf', "აბგდევნიო", **flaw)  # type: ignore[arg-type]
    assert [NINO] == lacking(NINO)


def test_a_mark_needs_a_shape_as_well(fonts: Path) -> None:
    """A font with the letter and without its mark does not print the name."""
    make_font(fonts / 'bare.ttf', "ב", family="Bare")
    assert ["בּ"] == lacking("ב", "בּ")


def test_every_face_of_a_collection_is_looked_at(fonts: Path, tmp_path: Path) -> None:
    """A .ttc holds many fonts; the one that is needed is taken, whichever it is."""
    collection = TTCollection()
    parts = [make_font(tmp_path / f'{n}.ttf', n * 2, family=f"Part {n}") for n in "აბგ"]
    collection.fonts = [TTFont(part) for part in parts]
    collection.save(fonts / 'all.ttc')
    collection.close()
    with typefaces_for(["გ"]) as typefaces:
        assert ["Part გ"] == families(typefaces)
        assert () == typefaces.lacking("გ")


def test_broken_files_are_one_font_less(fonts: Path) -> None:
    """What is no font, cut off or empty does not keep a good one from being found."""
    good = make_font(fonts / 'zz.ttf', NINO).read_bytes()
    (fonts / 'a.ttf').write_bytes(b'')
    (fonts / 'b.otf').write_bytes(b'OTTO' + bytes(range(256)))
    (fonts / 'c.ttc').write_bytes(b'ttcf\0\1\0\0\xff\xff\xff\xff' + bytes(40))
    (fonts / 'd.ttf').write_bytes(good[: len(good) // 2])
    (fonts / 'e.ttf').symlink_to(fonts / 'nowhere.ttf')
    assert [] == lacking(NINO)


def test_letters_of_private_use_and_halves_are_refused(fonts: Path) -> None:
    """No font says what they mean, so none is asked."""
    make_font(fonts / 'own.ttf', "\ue000", family="Own")
    assert ["\ue000", "a\ud800"] == lacking("\ue000", "a\ud800")


@pytest.mark.parametrize(('folder', 'found'), [('none', "no such folder"), ('.', "no fonts")])
def test_a_folder_without_fonts_is_refused(fonts: Path, folder: str, found: str) -> None:
    """A folder that was given has to have fonts, also when no name needs them."""
    with pytest.raises(InputError) as told, typefaces_for(["Zoë"], fonts / folder):
        pass
    assert found == told.value.found


def test_every_name_is_set_for_proof(fonts: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What Typst will not set without a missing letter is named; the others print."""
    make_font(fonts / 'one.ttf', NINO + "ა", family="One")

    def whole(_typefaces: Typefaces, texts: list[str]) -> bool:
        return "ანა" not in texts

    monkeypatch.setattr(choosing, '_is_whole', whole)
    with typefaces_for([NINO, "ანა", "ანი"]) as typefaces:
        assert frozenset({"ანა"}) == typefaces.unfit
        assert ("ანა",) == typefaces.lacking("ანა")


def test_the_proof_fails_where_a_letter_is_missing(fonts: Path) -> None:
    """PDF/UA-1 (ISO 14289-1, 7.21.8) forbids the sign for a missing letter, and Typst heeds it."""
    make_font(fonts / 'one.ttf', NINO, family="One")
    with typefaces_for([NINO]) as typefaces:
        assert choosing._is_whole(typefaces, [NINO, "Zoë"])
        assert not choosing._is_whole(typefaces, [NINO, KEI])
        assert isinstance(typefaces.fonts, typst.Fonts)
