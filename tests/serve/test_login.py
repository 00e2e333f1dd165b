"""The organiser's password, and the session it opens."""

from __future__ import annotations

import sqlite3
from datetime import timedelta

import pytest
from tests.serve.conftest import OWN, PASSWORD

from halfpoint.serve.guard.passwords import SHORTEST, new_password


def _log_in(evening, password=PASSWORD, headers=OWN):
    return evening.client.post('/api/login', json={'password': password}, headers=headers)


def test_the_password_opens_the_desk(evening) -> None:
    """With the password comes a cookie no script reads, and with that the desk opens."""
    answer = _log_in(evening)
    assert 200 == answer.status_code
    cookie = answer.headers['set-cookie']
    assert {'HttpOnly', 'SameSite=strict', 'Path=/api'} <= set(cookie.split('; '))
    assert 200 == evening.client.get('/api/desk/hosts').status_code


def test_decisions_carry_the_name_that_was_typed(evening) -> None:
    """Whoever logs in may say a name, which goes with what is decided; else it is the organiser."""
    for name, who in ((" Mira ½ ", "Mira ½"), ("", "organiser")):
        sent = {'password': PASSWORD, 'name': name}
        told = evening.client.post('/api/login', json=sent, headers=OWN).json()
        assert who == told['who'] == evening.client.get('/api/desk/me').json()['who']


def test_the_cookie_is_for_encrypted_connections_where_there_are_any(evening) -> None:
    """Over TLS the cookie is never sent unencrypted."""
    evening.client.base_url = 'https://halfpoint.test'
    assert 'Secure' in _log_in(evening).headers['set-cookie'].split('; ')


def test_a_wrong_password_opens_nothing(evening) -> None:
    """Another password is refused in words."""
    answer = _log_in(evening, 'grey-heron')
    assert (401, 'wrong-password') == (answer.status_code, answer.json()['code'])
    assert 401 == evening.client.get('/api/desk/hosts').status_code


def test_guessing_is_slowed_down(evening) -> None:
    """After a few wrong passwords even the right one has to wait, and is told how long."""
    most = evening.settings.limits.wrong_passwords.most
    assert {401} == {_log_in(evening, f'wrong {n}').status_code for n in range(most)}
    answer = _log_in(evening)
    assert (429, 'too-often') == (answer.status_code, answer.json()['code'])
    assert 0 < int(answer.headers['retry-after']) <= 300


def test_logging_out_ends_the_session(evening) -> None:
    """After logging out the same cookie opens nothing, even when it was kept."""
    _log_in(evening)
    kept = evening.client.cookies['halfpoint_desk']
    assert 204 == evening.client.post('/api/logout', headers=OWN).status_code
    held = {'Cookie': f'halfpoint_desk={kept}'}
    assert 401 == evening.client.get('/api/desk/hosts', headers=held).status_code


def test_a_session_runs_out(evening) -> None:
    """A session that has ended opens nothing."""
    token = evening.house.desk.begin_session(timedelta(seconds=-1))
    held = {'Cookie': f'halfpoint_desk={token}'}
    assert 401 == evening.client.get('/api/desk/hosts', headers=held).status_code


def test_changing_the_password_ends_other_sessions(evening) -> None:
    """The new password holds, the old one does not, and other desks have to log in again."""
    other = evening.log_in()
    _log_in(evening)
    change = {'old': PASSWORD, 'new': "a longer one ½"}
    answer = evening.client.post('/api/desk/password', json=change, headers=OWN)
    assert 200 == answer.status_code
    assert 200 == evening.client.get('/api/desk/hosts').status_code
    evening.client.cookies.clear()
    assert 401 == evening.client.get('/api/desk/hosts', headers=other).status_code
    assert [401, 200] == [
        _log_in(evening, password).status_code for password in (PASSWORD, change['new'])
    ]


@pytest.mark.parametrize(
    'change',
    [{'old': 'not it', 'new': 'long enough to be one'}, {'old': PASSWORD, 'new': 'short'}],
)
def test_a_change_that_does_not_hold(evening, change) -> None:
    """Without the old password, or with a short new one, the password stays."""
    answer = evening.client.post('/api/desk/password', json=change, headers=evening.log_in())
    assert answer.status_code in {401, 422}
    assert 200 == _log_in(evening).status_code


def test_nothing_that_opens_anything_is_kept(evening) -> None:
    """In the desk's file stand neither password nor token, only what they hash to."""
    shown = [
        PASSWORD,
        evening.log_in()['Cookie'].partition('=')[2],
        evening.host()['Authorization'].split()[1],
        evening.taster()['Authorization'].split()[1],
    ]
    with sqlite3.connect(evening.settings.desk) as desk:
        text = '\n'.join(desk.iterdump())
    desk.close()
    assert [] == [secret for secret in shown if secret in text]
    assert '$argon2id$' in text


def test_a_password_made_for_somebody_is_long_enough() -> None:
    """A password made at the first start would be taken as a new one, and is another each time."""
    made = {new_password() for _ in range(20)}
    assert 20 == len(made)
    assert all(len(password) >= SHORTEST for password in made)
