"""From named paths and folders to the files to open."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfpoint.collect.paper.read.source import find_files, look_through
from halfpoint.collect.paper.read.source.find import natural


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder as scanners, telephones and computers leave it."""
    for name in (
        'page10.png', 'page2.png', 'Page1.PNG', 'marks.csv', 'notes.txt', '.DS_Store',
        'letter.docx', 'north/page9.jpg', 'north/deep/page1.tiff', '.hidden/page1.jpg',
        'north/layout.json',
    ):  # fmt: skip
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_bytes(b'x')
    return tmp_path


def test_a_folder_is_walked_by_name_and_number(folder: Path) -> None:
    """Page 2 comes before page 10, folders in their place among the files."""
    found = [str(path.relative_to(folder)) for path in find_files([folder])]

    assert [
        'letter.docx', 'north/deep/page1.tiff', 'north/page9.jpg', 'Page1.PNG', 'page2.png',
        'page10.png',
    ] == found  # fmt: skip


def test_what_is_passed_over_is_told(folder: Path) -> None:
    """Hidden things and data beside the scans are skipped, and named."""
    skipped = {str(path.relative_to(folder)) for path in look_through([folder]).skipped}

    assert {'marks.csv', 'notes.txt', '.DS_Store', '.hidden', 'north/layout.json'} == skipped


def test_what_is_named_is_never_skipped(folder: Path) -> None:
    """A hidden file, a table and a file that is not there all go on when they were named."""
    named = [folder / 'marks.csv', folder / '.DS_Store', folder / 'nowhere.pdf']

    assert tuple(named) == find_files(named)


def test_a_hidden_folder_is_walked_when_named(folder: Path) -> None:
    """Only inside a folder do hidden names count."""
    assert (folder / '.hidden/page1.jpg',) == find_files([folder / '.hidden'])


def test_a_file_reached_twice_is_there_once(folder: Path) -> None:
    """Naming a folder and a file in it reads no page twice; the first place counts."""
    found = find_files([folder / 'page10.png', folder, folder])

    assert folder / 'page10.png' == found[0]
    assert 6 == len(found)


def test_links_that_lead_back_end(folder: Path) -> None:
    """A linked folder is passed over and told, so that a walk always ends."""
    (folder / 'north/back').symlink_to(folder, target_is_directory=True)

    found = look_through([folder])

    assert 6 == len(found.files)
    assert folder / 'north/back' in found.skipped


@given(st.lists(st.integers(0, 10**9), min_size=2))
def test_names_with_numbers_sort_as_the_numbers(numbers: list[int]) -> None:
    """Whatever the numbers, leading zeros or not."""
    names = [Path(f'scan {number:0{number % 5}d}.pdf') for number in numbers]

    in_order = [int(name.stem.split()[1]) for name in sorted(names, key=natural)]

    assert sorted(numbers) == in_order


@given(st.lists(st.text(st.characters(exclude_characters='/\0'), min_size=1)))
def test_any_names_can_be_sorted(names: list[str]) -> None:
    """Digits of other scripts, empty parts and dots make no trouble."""
    paths = [Path(name) for name in names]

    assert sorted(paths) == sorted(sorted(paths, key=natural))
