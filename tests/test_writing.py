"""Writing a file whole or not at all."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from halfpoint.errors import DiskFull, OutputError
from halfpoint.writing import (
    make_folder_safely,
    write_bytes_safely,
    write_text_safely,
    writing_text_safely,
)


def test_text_is_written_as_utf8(tmp_path: Path) -> None:
    """Text lands as UTF-8, and nothing else is left in the folder."""
    write_text_safely(tmp_path / 'held.csv', "4½\n")

    assert b'4\xc2\xbd\n' == (tmp_path / 'held.csv').read_bytes()
    assert ['held.csv'] == os.listdir(tmp_path)


def test_permissions_are_kept(tmp_path: Path) -> None:
    """A file that is replaced keeps who may read it."""
    path = tmp_path / 'letters.csv'
    path.write_text('old')
    path.chmod(0o640)

    write_text_safely(path, 'new')

    assert 0o640 == path.stat().st_mode & 0o777


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    """Writing through a symbolic link replaces the file it points to."""
    (tmp_path / 'real.csv').write_text('old')
    (tmp_path / 'link.csv').symlink_to('real.csv')

    write_text_safely(tmp_path / 'link.csv', 'new')

    assert (tmp_path / 'link.csv').is_symlink()
    assert 'new' == (tmp_path / 'real.csv').read_text()


def test_a_full_disk_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """When the disk is full, the old file still stands and no half file is left."""
    path = tmp_path / 'held.csv'
    path.write_text('old')

    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, 'No space left on device')

    monkeypatch.setattr(os, 'fsync', full)

    with pytest.raises(DiskFull) as refusal:
        write_bytes_safely(path, b'new')

    assert 41 == refusal.value.exit_code
    assert 'old' == path.read_text()
    assert ['held.csv'] == os.listdir(tmp_path)


@pytest.mark.skipif(not Path('/dev/full').exists(), reason='needs /dev/full')
def test_a_really_full_device_is_refused() -> None:
    """The device that is always full (Linux `full(4)`) is reported as a full disk, and stays."""
    with pytest.raises(DiskFull):
        write_bytes_safely(Path('/dev/full'), b'x')

    assert Path('/dev/full').is_char_device()


@pytest.mark.parametrize('place', ['.', 'missing/held.csv', 'file/held.csv'])
def test_impossible_places_are_refused(tmp_path: Path, place: str) -> None:
    """A folder, a missing folder, or a file in the way is an OutputError naming the place."""
    (tmp_path / 'file').write_text('')

    with pytest.raises(OutputError) as refusal:
        write_bytes_safely(tmp_path / place, b'x')

    assert str(tmp_path / place) == refusal.value.where


def test_folders_are_made_or_refused(tmp_path: Path) -> None:
    """A folder is made with those above it; a file in the way is an OutputError."""
    make_folder_safely(tmp_path / 'a' / 'b')
    make_folder_safely(tmp_path / 'a' / 'b')
    (tmp_path / 'file').write_text('')

    assert (tmp_path / 'a' / 'b').is_dir()
    with pytest.raises(OutputError):
        make_folder_safely(tmp_path / 'file')


def test_a_long_text_is_written_bit_by_bit(tmp_path: Path) -> None:
    """Nothing takes the name before the end; then all is there, and nothing else."""
    path = tmp_path / 'read.json'
    path.write_text('old')
    with writing_text_safely(path) as write:
        write("4½\n")
        write("5\n")
        assert 'old' == path.read_text()

    assert "4½\n5\n" == path.read_text()
    assert ['read.json'] == os.listdir(tmp_path)


def test_a_long_text_cut_short_leaves_the_old_file(tmp_path: Path) -> None:
    """What goes wrong meanwhile goes on its way, and what stood there still stands."""
    path = tmp_path / 'read.json'
    path.write_text('old')
    with pytest.raises(FileNotFoundError, match='elsewhere'):
        _write_bits(path, 'new', FileNotFoundError('elsewhere'))

    assert 'old' == path.read_text()
    assert ['read.json'] == os.listdir(tmp_path)


@pytest.mark.skipif(not Path('/dev/full').exists(), reason="no device that is always full")
def test_a_full_device_is_refused() -> None:
    """Writing bit by bit to a full disk ends in the refusal for it."""
    with pytest.raises(DiskFull):
        _write_bits(Path('/dev/full'), "4½\n" * 10_000)


def _write_bits(path: Path, text: str, trouble: Exception | None = None) -> None:
    with writing_text_safely(path) as write:
        for letter in text:
            write(letter)
        if trouble:
            raise trouble
