"""The folder of papers: what lies where, and that it is filled whole or not at all."""

from __future__ import annotations

import errno
import os
from pathlib import Path
from typing import Any

import pytest
from tests.publish.handouts.sample import pages, planned, tasting

from halfpoint.errors import DiskFull, InputError, OutputError
from halfpoint.plan.model import Plan
from halfpoint.publish.handouts import print_papers
from halfpoint.tasting.model import Site, Tasting

BLIND = {'run-sheet', 'pour-sheet', 'bag-tags', 'table-cards', 'seat-labels'}
ONE = tasting(wines=3, seats=2, sites=[Site(key='North/1', name="North"), Site(key='s', name="S")])
PLAN = planned(ONE)[0]


def names(folder: Path) -> set[str]:
    """Every file below a folder."""
    return {path.relative_to(folder).as_posix() for path in folder.rglob('*') if path.is_file()}


def put(into: Path, of: Tasting = ONE, plan: Plan = PLAN, **more: Any) -> set[str]:
    """Print into a folder and say what was written."""
    done = print_papers(of, plan, into, **more)
    return {path.relative_to(into).as_posix() for path in done.files}


def test_each_site_has_a_folder(tmp_path: Path) -> None:
    """Papers by site, what names wines apart, and all joined for the organiser."""
    kinds = BLIND | {'names-the-wines/cellar-key', 'names-the-wines/cellar-list'}
    expected = {f'{site}/{kind}.pdf' for site in ('north-1', 's') for kind in kinds}
    expected |= {f'organiser/all-{kind.rpartition("/")[2]}.pdf' for kind in kinds}
    expected |= {'organiser/shopping-list.pdf'}
    assert expected == put(tmp_path / 'papers')
    assert expected == names(tmp_path / 'papers')


def test_when_the_organiser_bags_no_site_is_told_a_wine(tmp_path: Path) -> None:
    """What names wines lies in the organiser's folder; sites have a list of bags."""
    written = put(tmp_path, bagging='organiser')
    of_a_site = {name.partition('/')[2] for name in written if name.startswith('north-1/')}
    assert {f'{kind}.pdf' for kind in BLIND | {'bag-list'}} == of_a_site
    assert {'organiser/cellar-key/north-1.pdf', 'organiser/cellar-list/s.pdf'} <= written


def test_one_site_and_some_kinds(tmp_path: Path) -> None:
    """Only what was asked for is written."""
    assert {'s/bag-tags.pdf'} == put(tmp_path, site='s', only=['bag-tags'])
    assert {'organiser/shopping-list.pdf'} == put(tmp_path / 'a', only=['shopping-list'])


def test_a_single_site_needs_no_joined_papers(tmp_path: Path) -> None:
    """With one site, its papers are all there are."""
    one = tasting(wines=2, seats=1, sites=[])
    plan = planned(one)[0]
    assert not any('all-' in name for name in put(tmp_path, one, plan))


def test_joined_papers_have_every_site(tmp_path: Path) -> None:
    """The joined run sheets begin anew at each site."""
    put(tmp_path, only=['run-sheet'])
    text = ' '.join(pages((tmp_path / 'organiser' / 'all-run-sheet.pdf').read_bytes()))
    assert text.index("North") < text.rindex("By the clock")
    assert 2 == text.count("By the clock")


def test_old_papers_are_told_and_left(tmp_path: Path) -> None:
    """What this printing did not renew stays, and is named; other files are no business of ours."""
    put(tmp_path)
    (tmp_path / 'mine.pdf').write_bytes(b'mine')
    done = print_papers(ONE, PLAN, tmp_path, bagging='organiser')
    old = {path.relative_to(tmp_path).as_posix() for path in done.old}
    kinds = ('cellar-key', 'cellar-list')
    assert {
        f'{site}/names-the-wines/{kind}.pdf' for site in ('north-1', 's') for kind in kinds
    } == old
    assert b'mine' == (tmp_path / 'mine.pdf').read_bytes()


def test_progress_is_told(tmp_path: Path) -> None:
    """Each paper that is made is counted, to the last."""
    told: list[tuple[int, int]] = []
    put(tmp_path, only=['bag-tags'], progress=lambda done, of: told.append((done, of)))
    assert [(1, 3), (2, 3), (3, 3)] == told


def test_a_full_disk_leaves_what_was_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With no space for the third paper, none is written, and earlier papers stand."""
    put(tmp_path, only=['bag-tags'])
    before = {name: (tmp_path / name).read_bytes() for name in names(tmp_path)}
    _fill(monkeypatch, after=2)
    with pytest.raises(DiskFull, match='no space was left'):
        put(tmp_path)
    assert before == {name: (tmp_path / name).read_bytes() for name in names(tmp_path)}
    assert {'north-1', 's', 'organiser'} == set(os.listdir(tmp_path))


def test_a_full_disk_leaves_no_new_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder that was made for the papers goes again when they cannot be written."""
    _fill(monkeypatch, after=2)
    with pytest.raises(DiskFull):
        put(tmp_path / 'papers')
    assert [] == os.listdir(tmp_path)


def _fill(monkeypatch: pytest.MonkeyPatch, after: int) -> None:
    """Let so many files be written, then no more."""
    left = iter(range(after))
    write = Path.write_bytes

    def writing(path: Path, content: bytes) -> int:
        if next(left, None) is None:
            raise OSError(errno.ENOSPC, 'No space left on device')
        return write(path, content)

    monkeypatch.setattr(Path, 'write_bytes', writing)


@pytest.mark.parametrize('place', ['file', 'file/below'])
def test_a_folder_that_cannot_be_made_is_refused(tmp_path: Path, place: str) -> None:
    """A file stands where the folder, or one above it, should be."""
    (tmp_path / 'file').write_text('mine')
    with pytest.raises(OutputError, match='could not be written'):
        put(tmp_path / place)
    assert 'mine' == (tmp_path / 'file').read_text()


def test_a_folder_that_may_not_be_written_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing is set before it is known that the folder may be written to."""
    make = Path.mkdir

    def refusing(path: Path, *args: Any, **more: Any) -> None:
        if path.name.startswith('.papers-'):
            raise PermissionError(errno.EACCES, 'Permission denied')
        make(path, *args, **more)

    monkeypatch.setattr(Path, 'mkdir', refusing)
    with pytest.raises(OutputError, match='permission denied'):
        put(tmp_path)


def test_a_plan_of_something_else_is_refused(tmp_path: Path) -> None:
    """A plan of another tasting, or of wines the file does not have, is not printed."""
    with pytest.raises(InputError, match="is of the tasting 'autumn'"):
        put(tmp_path, ONE.model_copy(update={'key': 'spring'}))
    fewer = ONE.model_copy(update={'wines': ONE.wines[1:]})
    with pytest.raises(InputError, match="pours 'zqk0', which the tasting file does not have"):
        put(tmp_path, fewer)
