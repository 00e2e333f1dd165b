"""The tasting file may change, or come to be, while it is served."""

from __future__ import annotations

from tests.serve.conftest import write_tasting


def _title(evening) -> str:
    return evening.client.get('/api/hello').json()['tasting']['title']


def test_an_edited_file_is_read_again(evening) -> None:
    """What somebody changes in the file while it is served is shown at once."""
    file = evening.settings.tasting
    assert "Mossgate evening (invented)" == _title(evening)
    file.write_text(file.read_text().replace("Mossgate evening", "Mossgate spring evening"))
    assert "Mossgate spring evening (invented)" == _title(evening)


def test_a_tasting_that_comes_to_be_is_served(empty) -> None:
    """A file written after the start is served from then on, with its record."""
    assert empty.client.get('/api/hello').json()['tasting'] is None
    write_tasting(empty.settings.folder)
    assert "Mossgate evening (invented)" == _title(empty)
    assert 200 == empty.client.get('/api/site', headers=empty.host()).status_code


def test_a_file_of_another_tasting_writes_nothing_into_this_record(evening) -> None:
    """When the file names another tasting or record, nothing is taken until that is settled."""
    file, taster = evening.settings.tasting, evening.taster()
    before = file.read_text()
    file.write_text(before.replace('key = "mossgate"', 'key = "mossgate-two"'))
    answer = evening.client.get('/api/sheet', headers=taster)
    assert (503, 'ledger-error') == (answer.status_code, answer.json()['code'])
    told = evening.client.get('/api/desk/join-codes', headers=evening.log_in()).json()
    assert 'another record' in told['found']
    file.write_text(before)
    assert 200 == evening.client.get('/api/sheet', headers=taster).status_code
