"""The desk's own file: what it keeps, for whom, and what it refuses."""

from __future__ import annotations

import sqlite3
import stat
from datetime import UTC, datetime, timedelta

import pytest
from tests.serve.conftest import DEVICE, another_device

from halfpoint.errors import LedgerBusy, LedgerError, OutputError
from halfpoint.serve.alone import alone
from halfpoint.serve.desk_store import DeskStore, Device, HostLink

DAY = timedelta(days=1)


@pytest.fixture
def path(tmp_path):
    """Where a desk's file will be."""
    return tmp_path / 'tasting.desk'


@pytest.fixture
def desk(path):
    """An open desk."""
    with DeskStore(path) as made:
        yield made


def test_others_of_the_machine_cannot_read_it(desk, path) -> None:
    """The file and what SQLite lays beside it are for their owner alone."""
    desk.keep('secret', 'x')
    beside = [file for file in path.parent.iterdir() if file.name.startswith(path.name)]
    assert {0o600} == {stat.S_IMODE(file.stat().st_mode) for file in beside}


def test_it_is_there_again_after_a_restart(path) -> None:
    """Sessions, links, devices, names and seats outlast the server."""
    with DeskStore(path) as desk:
        session = desk.begin_session(DAY, "Mira")
        _, host = desk.add_host('mill', DAY)
        device = desk.add_device(DEVICE, 'mill', 2)
        desk.set_name('mill-2', "Ansel ½", consent=True)
        desk.add_seat('mill', 9, 1, 2)
    with DeskStore(path) as desk:
        assert "Mira" == desk.session(session).who
        assert isinstance(desk.opens(host), HostLink)
        assert (2, DEVICE) == (desk.opens(device).seat, desk.opens(device).device)
        assert [("Ansel ½", True)] == [(n.name, n.consent) for n in desk.names()]
        assert [(9, 2)] == [(seat.seat, seat.like) for seat in desk.added_seats()]


def test_when_a_device_was_heard_of_is_known_at_once_and_kept(path) -> None:
    """The last sign of a device is known before it is written down, and after a restart."""
    with DeskStore(path) as desk:
        found = desk.opens(desk.add_device(DEVICE, 'mill', 1))
        assert isinstance(found, Device)
        before = datetime.now(UTC)
        desk.seen(found.id)
        assert desk.devices('mill')[0].seen >= before
    with DeskStore(path) as desk:
        assert desk.devices()[0].seen >= before - timedelta(seconds=1)


def test_a_token_opens_what_it_was_made_for_and_no_more(desk) -> None:
    """Tokens of devices and hosts are told apart; the session's opens neither."""
    assert desk.opens('nothing') is None
    assert desk.opens(desk.begin_session(DAY)) is None
    assert desk.session(desk.add_host('mill', DAY)[1]) is None


def test_what_was_taken_back_is_noticed_at_once(desk) -> None:
    """A link or seat that was opened a moment ago opens no more when it was taken back."""
    link, token = desk.add_host('mill', DAY)
    assert desk.opens(token).holds(datetime.now(UTC))
    assert desk.revoke_host(link.id)
    assert not desk.opens(token).holds(datetime.now(UTC))
    assert not desk.revoke_host(99)
    device = desk.add_device(DEVICE, 'mill', 1)
    assert desk.opens(device) is not None
    assert 1 == desk.forget_devices('mill', 1)
    assert desk.opens(device) is None


def test_what_is_taken_back_during_a_look_is_not_remembered(desk, monkeypatch) -> None:
    """A link taken back while somebody opens it is not held open by what was just looked up."""
    link, token = desk.add_host('mill', DAY)
    look_up = desk._look_up

    def meanwhile(hashed):
        found = look_up(hashed)
        desk.revoke_host(link.id)
        return found

    monkeypatch.setattr(desk, '_look_up', meanwhile)
    assert desk.opens(token).holds(datetime.now(UTC))
    monkeypatch.undo()
    assert not desk.opens(token).holds(datetime.now(UTC))


def test_devices_are_of_their_site(desk) -> None:
    """Each site has its own devices."""
    desk.add_device(DEVICE, 'mill', 1)
    desk.add_device(another_device(), 'quay', 1)
    assert [['mill'], ['quay'], ['mill', 'quay']] == [
        [device.site for device in desk.devices(*site)] for site in (['mill'], ['quay'], [])
    ]


def test_a_name_may_change_and_be_forgotten(desk) -> None:
    """A name typed anew takes the place of the old one and keeps the consent; then it is gone."""
    desk.set_name('mill-2', "An", consent=True)
    desk.set_name('mill-2', "Ann")
    assert [("Ann", True)] == [(n.name, n.consent) for n in desk.names()]
    desk.forget_name('mill-2')
    assert [] == desk.names()


def test_sessions_that_ended_are_forgotten(desk, path) -> None:
    """What has ended is swept out with the next login."""
    desk.begin_session(timedelta(seconds=-5))
    desk.begin_session(DAY)
    with sqlite3.connect(path) as raw:
        assert 1 == raw.execute('SELECT count(*) FROM session').fetchone()[0]
    raw.close()


@pytest.mark.parametrize('content', [b'not a database, and long enough to look at', b'SQLite'])
def test_another_file_is_left_alone(path, content) -> None:
    """A file that is no desk is refused, and stays as it is."""
    path.write_bytes(content * 100)
    with pytest.raises(LedgerError):
        DeskStore(path)
    assert content * 100 == path.read_bytes()


@pytest.mark.parametrize('script', ['PRAGMA user_version = 99', 'CREATE TABLE theirs (x)'])
def test_another_database_is_left_alone(path, script) -> None:
    """A database of another program, or of a later version, is refused."""
    with sqlite3.connect(path) as raw:
        raw.execute(script)
    raw.close()
    before = path.read_bytes()
    with pytest.raises(LedgerError) as refusal:
        DeskStore(path)
    assert 'not a desk' in refusal.value.found
    assert before == path.read_bytes()


def test_a_folder_that_is_not_there(tmp_path) -> None:
    """Where no file can be made, that is said."""
    with pytest.raises(OutputError):
        DeskStore(tmp_path / 'nowhere' / 'tasting.desk')


def test_one_server_at_a_time(path) -> None:
    """While one serves a tasting another is refused; afterwards it may."""
    with alone(path):
        with pytest.raises(LedgerBusy) as refusal, alone(path):
            pass
        assert 'tasting.toml' == refusal.value.where
    with alone(path):
        pass
