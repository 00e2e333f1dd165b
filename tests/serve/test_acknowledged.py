"""What the server has answered survives its sudden end."""

from __future__ import annotations

import subprocess
import threading
from pathlib import Path

import httpx
import pytest
from tests.postgres import moved, url
from tests.serve.conftest import write_tasting
from tests.serve.filled import body, sheet
from tests.serve.test_for_real import COMMAND, _free_port, _wait_for

from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.planned import poured_by, recorded_plan
from halfpoint.ledger.replay import replay
from halfpoint.serve.desk_store import DeskStore
from halfpoint.serve.settings import Settings
from halfpoint.tasting.load import load_tasting
from halfpoint.tasting.record_place import RecordPlace

ENOUGH = 30


@pytest.mark.parametrize('kept_in', ['file', 'database'])
def test_every_answered_sheet_outlives_a_kill(
    tmp_path: Path, kept_in: str, request: pytest.FixtureRequest
) -> None:
    """Killed in the midst of sheets from every seat, the record has each that was answered."""
    file, port = write_tasting(tmp_path), _free_port()
    seats = _seats(file)
    command = [*COMMAND, str(file), '--port', str(port)]
    place: RecordPlace = load_tasting(file).ledger
    if kept_in == 'database':
        place = request.getfixturevalue('postgres').new()
        moved(file.with_suffix('.ledger'), place)
        command += ['--ledger', url(place)]
    said = tmp_path / 'said.txt'
    with said.open('wb') as out:
        process = subprocess.Popen(command, stdout=out, stderr=out)
    answered: list[tuple[str, str, float]] = []
    try:
        with httpx.Client(base_url=f'http://127.0.0.1:{port}') as client:
            _wait_for(client, process)
        phones = [
            threading.Thread(target=_send, args=(port, process, token, taster, codes, answered))
            for taster, (token, codes) in seats.items()
        ]
        for phone in phones:
            phone.start()
        for phone in phones:
            phone.join(60)
    finally:
        process.kill()
        process.wait()
    assert 'heron' not in said.read_text()
    with Ledger.open(place, tasting_key='mossgate') as ledger:
        state = replay(ledger.records())
        assert ledger.verify().holds
    kept = {
        (entry.now.taster, entry.now.code or '', version.marks['aroma'])
        for entry in state.entries.values()
        for version in entry.versions
    }
    assert len(answered) >= ENOUGH
    assert set() == set(answered) - kept


def _seats(file: Path) -> dict[str, tuple[str, list[str]]]:
    """Taster → the token of a phone there, and the codes poured."""
    tasting = load_tasting(file)
    with Ledger.open(tasting.ledger, tasting_key=tasting.key) as ledger:
        plan = recorded_plan(replay(ledger.records()))
    assert plan is not None
    poured = poured_by(plan, tasting)
    with DeskStore(Settings(file).desk) as desk:
        return {
            taster: (
                desk.add_device(body(sheet('1'))['device'], site, seat),
                list(poured.places[site, taster]),
            )
            for site, numbers in poured.seats.items()
            for seat, taster in numbers.items()
        }


def _send(
    port: int,
    process: subprocess.Popen[bytes],
    token: str,
    taster: str,
    codes: list[str],
    answered: list[tuple[str, str, float]],
) -> None:
    """Change one's mind again and again, until the server is gone."""
    headers = {'Authorization': f'Bearer {token}'}
    with httpx.Client(base_url=f'http://127.0.0.1:{port}', headers=headers) as client:
        for version in range(1, 1000):
            code, aroma = codes[version % len(codes)], (version % 13) / 2
            asked = body(sheet(code, version, aroma=aroma))
            try:
                answer = client.put('/api/sheet/entries', json=asked).json()
            except (httpx.TransportError, ValueError):
                return
            if answer['answers'][0]['state'] == 'kept':
                answered.append((taster, code, aroma))
            if len(answered) >= ENOUGH:
                process.kill()
