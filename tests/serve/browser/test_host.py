"""The host's page in a browser: the room, the evening, paper sheets, photographs, and the file."""

from __future__ import annotations

import gzip
import json
import re

import pytest
from playwright.sync_api import expect
from tests.serve.conftest import HIDDEN

from .at_desk import TOPS, Taster, fill, host_link, sign_in
from .conftest import ROOT, look_over, picture, serving

WIDTHS = ((360, 760), (768, 1024), (1440, 900))
# Colours are the same at each width; what a width changes is looked for in light.
THEMES = {360: ('light', 'dark'), 768: ('light',), 1440: ('light',)}
PAGES = {
    'room': '/host', 'evening': '/host/evening', 'whose': '/host/paper',
    'paper': '/host/paper?seat=2', 'photos': '/host/photos', 'file': '/host/file',
}  # fmt: skip


@pytest.fixture(scope='module')
def filled(served):
    """The tasting with the sheets of two seats, and one that is held."""
    fill(served, range(1, 3))
    third = Taster(served, 3)
    third.send(third.codes[0], {**TOPS, 'aroma': 4.25})
    return served


@pytest.fixture(scope='module')
def token(filled, browser) -> str:
    """What stands behind # in a link for the host."""
    page = browser.new_page()
    sign_in(page, filled)
    page.goto(f'{filled.url}/desk/door')
    link = host_link(page)
    page.close()
    return link.rpartition('#')[2]


def _open(page, server, token: str, path: str = '/host'):
    page.goto(f'{server.url}/host#{token}')
    page.get_by_role('heading', name="Who has sent what").wait_for()
    if path != '/host':
        page.goto(server.url + path)
        page.locator('h1').first.wait_for()
    return page


def test_every_page_is_looked_at() -> None:
    """The pages walked below are all that the host has."""
    source = (ROOT / 'web/src/host/Host.svelte').read_text('utf-8')
    there = re.findall(r"path: '(/host[^']*)'", source)
    assert set(there) == {path.partition('?')[0] for path in PAGES.values()}


@pytest.mark.parametrize(('width', 'height'), WIDTHS)
def test_every_page_is_for_everybody(filled, token, phone, width, height) -> None:
    """axe-core finds nothing on any page of the host in light and dark, and none names a wine."""
    page, found = _open(phone(width, height).page, filled, token), []
    for name, path in PAGES.items():
        page.goto(filled.url + path)
        page.locator('h1').first.wait_for()
        page.wait_for_timeout(400)
        found += look_over(page, f'{name} {width}', THEMES[width])
        if page.evaluate('() => document.documentElement.scrollWidth > innerWidth'):
            found.append(f'{name} is wider than {width}')
        found += [word for word in HIDDEN if word in page.content().lower()]
        for theme in ('light', 'dark'):
            page.emulate_media(color_scheme=theme)
            picture(page, f'host-{name}-{width}-{theme}')
        page.emulate_media(color_scheme='light')
    assert [] == found


def test_the_link_stays_on_the_device_and_out_of_the_address(filled, token, phone) -> None:
    """Opened once, the page opens without the link; the address no longer holds it."""
    page = _open(phone().page, filled, token)
    assert token not in page.url
    page.goto(f'{filled.url}/host')
    expect(page.get_by_role('heading', name="Who has sent what")).to_be_visible()


def test_without_a_link_it_says_what_is_missing(served, phone) -> None:
    """Without a link the page says who gives one."""
    page = phone().page
    page.goto(f'{served.url}/host')
    expect(page.get_by_text("opens with the link that the organiser has given you")).to_be_visible()
    assert [] == look_over(page, 'no link')


def test_the_room_shows_who_has_sent_what(filled, token, phone) -> None:
    """Each seat shows how many of its sheets are in; what is held says why."""
    page = _open(phone().page, filled, token)
    expect(page.get_by_role('link', name="Seat 1")).to_contain_text("4 of 4")
    expect(page.get_by_text("1 sheet waits for the organiser")).to_be_visible()
    expect(page.locator('.needs-a-look')).to_contain_text("4¼")


def test_somebody_comes_along(filled, token, phone) -> None:
    """A seat is added, and the page says from whose bags it is poured."""
    page = _open(phone().page, filled, token)
    page.get_by_role('button', name="Add a seat").click()
    page.get_by_label("Name, if you like").fill("نور")
    page.get_by_role('button', name="Add the seat").click()
    expect(page.get_by_text("Seat 7 at table 1. Pour the same bags as at seat")).to_be_visible()
    expect(page.get_by_role('link', name="Seat 7")).to_contain_text("نور")


def test_a_paper_sheet_is_typed_in(filled, token, phone) -> None:
    """Marks typed in for a seat become its entry; what was typed survives a reload before."""
    mine = phone()
    page = _open(mine.page, filled, token, '/host/paper?seat=4')
    before = len(filled.records('entry'))
    page.get_by_role('slider').first.wait_for()
    mine.mark_all()
    page.reload()
    page.get_by_role('slider').first.wait_for()
    expect(page.get_by_role('slider', name='Taste', exact=True)).to_have_attribute(
        'aria-valuetext', "four and a half of six"
    )
    first = page.locator('h1').inner_text()
    page.get_by_role('button', name="Send, and on").click()
    expect(page.locator('h1')).not_to_have_text(first)
    new = filled.records('entry')[before:]
    assert [('mill-seat-4', 16.5)] == [
        (each['entry']['taster'], each['entry']['total']) for each in new
    ]


def test_what_contradicts_a_phone_is_held(filled, token, phone) -> None:
    """A paper sheet that says something else than the phone is kept, and the organiser is asked."""
    mine = phone()
    page = _open(mine.page, filled, token, '/host/paper?seat=1')
    expect(page.get_by_text("Marks for this pour are in already")).to_be_visible()
    mine.mark_all()
    page.get_by_role('button', name="Send, and on").click()
    expect(page.get_by_role('alert')).to_contain_text("waits for the organiser")


def test_a_room_goes_from_server_to_server_as_a_file(filled, token, phone, tmp_path) -> None:
    """Saved here and loaded there, every sheet is there once, however often it is loaded."""
    page = _open(phone().page, filled, token, '/host/file')
    with page.expect_download() as download:
        page.get_by_role('button', name="Save this room to a file").click()
    file = tmp_path / 'mill.halfpoint-site.json.gz'
    download.value.save_as(file)
    told = gzip.decompress(file.read_bytes()).decode()
    assert 'halfpoint-site' == json.loads(told)['format']
    assert [] == [word for word in HIDDEN if word in told.lower()]
    (tmp_path / 'other').mkdir()
    with serving(tmp_path / 'other') as other:
        desk = phone(1440, 900).page
        sign_in(desk, other)
        desk.goto(f'{other.url}/desk/door')
        theirs = host_link(desk).rpartition('#')[2]
        page = _open(phone().page, other, theirs, '/host/file')
        upload = page.locator('input[type=file]')
        upload.set_input_files(file)
        expect(page.get_by_text("new, 0 in already")).to_be_visible()
        there = len(other.records('entry'))
        upload.set_input_files(file)
        expect(page.get_by_text("0 sheets are new")).to_be_visible()
        assert there == len(other.records('entry'))
        file.write_bytes(file.read_bytes()[:-40])
        upload.set_input_files(file)
        expect(page.get_by_role('alert')).to_be_visible()


def test_what_came_of_each_photograph_is_told(filled, token, phone, tmp_path) -> None:
    """Several files at once; each says what came of it, one that is no picture too."""
    Image = pytest.importorskip('PIL.Image')
    blank, junk = tmp_path / 'blank.png', tmp_path / 'junk.png'
    Image.new('L', (1240, 1754), 250).save(blank)
    junk.write_bytes(b'no picture')
    page = _open(phone().page, filled, token, '/host/photos')
    page.locator('input[type=file]').nth(1).set_input_files([blank, junk])
    expect(page.get_by_text("all read")).to_be_visible(timeout=90_000)
    expect(page.get_by_text("Not taken")).to_be_visible()
    picture(page, 'host-photos-done-360')
    assert [] == look_over(page, 'photos done')
