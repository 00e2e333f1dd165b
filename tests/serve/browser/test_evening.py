"""A whole tasting in three browsers and more: desk, host and two phones, one without signal."""

from __future__ import annotations

import re

from playwright.sync_api import expect

from .at_desk import TITLE, host_link, settled, sign_in
from .conftest import Phone, Served, look_over, picture, serving

WINES = ("Quillmere", "Tarnbeck", "Sallowfen", "Hobbling")
SEATS, POURS = 6, 4
WORKER = "() => navigator.serviceWorker.ready.then(() => null)"


def test_a_tasting_from_the_first_code_to_the_reveal(phone, tmp_path) -> None:
    """Sheets from a phone, from one without signal and from paper meet in one result, blind."""
    with serving(tmp_path) as server:
        desk = phone(1440, 900)
        sign_in(desk.page, server)
        desk.page.goto(f'{server.url}/desk/door')
        link = host_link(desk.page)
        desk.page.goto(f'{server.url}/desk')
        _is_in(desk, 0)
        near, far = phone(service_workers='allow'), phone(service_workers='allow')
        host = phone(768, 1024)
        _goes_out_of_signal(far, server)
        _marks_every_pour(near, server)
        _is_in(desk, POURS)
        _types_a_paper_sheet(host, link)
        _is_in(desk, POURS + 1)
        _comes_back(far, server)
        _is_in(desk, 2 * POURS + 1)
        _names_nothing(near, far, host)
        _finds(desk, server)
        _reveals(desk, server)
        _compares(near, server)
        _compares(far, server)
        assert 2 * POURS + 1 == len(server.records('entry'))
        assert [] == server.records('held')


def _is_in(desk: Phone, count: int) -> None:
    expect(desk.page.get_by_text(f"{count} of {SEATS * POURS} sheets are in")).to_be_visible()


def _every_pour(mine: Phone, seat: int) -> None:
    for number in range(1, POURS + 1):
        expect(mine.page.get_by_text(f"pour {number} of {POURS}")).to_be_visible()
        mine.mark_all()
        if number > 1:
            mine.mark('Aroma', 2 + (number + seat) / 2, 6)
        if number < POURS:
            mine.page.get_by_role('button', name="Next pour").click()


def _marks_every_pour(mine: Phone, server: Served) -> None:
    mine.join(server, 1)
    _every_pour(mine, 1)
    mine.page.goto(f'{server.url}/?view=pours')
    expect(mine.page.locator('footer')).to_contain_text("all sent")


def _goes_out_of_signal(mine: Phone, server: Served) -> None:
    """Loaded, then without a network: marked, reloaded, closed and opened again."""
    page = mine.join(server, 2)
    page.evaluate(WORKER)
    page.reload()
    mine.offline()
    _every_pour(mine, 2)
    page.reload()
    page.close()
    mine.page = mine.context.new_page()
    mine.page.goto(f'{server.url}/?view=pours')
    expect(mine.page.locator('footer')).to_contain_text(f"{POURS} waiting to send")


def _types_a_paper_sheet(host: Phone, link: str) -> None:
    page = host.page
    page.goto(link)
    page.get_by_role('heading', name="Who has sent what").wait_for()
    page.goto(link.partition('#')[0] + '/paper?seat=3')
    page.get_by_role('slider').first.wait_for()
    first = page.locator('h1').inner_text()
    host.mark_all()
    page.get_by_role('button', name="Send, and on").click()
    expect(page.locator('h1')).not_to_have_text(first)


def _comes_back(mine: Phone, server: Served) -> None:
    mine.offline(False)
    expect(mine.page.locator('footer')).to_contain_text("all sent")


def _names_nothing(*rooms: Phone) -> None:
    for room in rooms:
        text = room.page.content()
        assert [] == [wine for wine in WINES if wine in text]


def _finds(desk: Phone, server: Served) -> None:
    desk.page.goto(f'{server.url}/desk/found')
    settled(desk.page)
    picture(desk.page, 'evening-found', full=True)
    expect(desk.page.get_by_role('img').first).to_be_visible()


def _reveals(desk: Phone, server: Served) -> None:
    page = desk.page
    page.goto(f'{server.url}/desk/share')
    page.get_by_label("To be sure, type the title").fill(TITLE)
    page.get_by_role('button', name="Reveal the wines").click()
    expect(page.get_by_text(re.compile("^Revealed by"))).to_be_visible()


def _compares(mine: Phone, server: Served) -> None:
    page = mine.page
    page.goto(f'{server.url}/?view=pours')
    page.get_by_role('link', name="Compare with the group").click()
    expect(page.get_by_role('heading', level=2)).to_have_count(POURS)
    expect(page.get_by_text("you 16½").first).to_be_visible()
    assert {wine for wine in WINES if wine in page.content()} == set(WINES)
    assert [] == look_over(page, 'result')
