"""At the desk in a browser: a sheet of a wrong seat is moved, held as a conflict, or swapped."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from .at_desk import TOPS, Taster, sign_in, sign_in_german
from .conftest import look_over, picture, serving


def _send(server, *aromas: float) -> None:
    """Sheets for one wine from seat 1 on, told by their aroma."""
    first = Taster(server, 1)
    code = first.codes[0]
    for seat, aroma in enumerate(aromas, 1):
        taster = first if seat == 1 else Taster(server, seat)
        taster.send(code, {**TOPS, 'aroma': aroma})


def _open(page, server) -> None:
    page.goto(f'{server.url}/desk/entries?seat=1')
    page.get_by_role('link', name="Entry").first.click()
    page.get_by_role('slider', name="Aroma", exact=True).wait_for()


@pytest.mark.parametrize('width', [360, 768, 1440])
def test_a_sheet_of_a_wrong_seat_is_put_right(phone, tmp_path, width) -> None:
    """A free seat is told before and after; a taken one is a conflict, which a key decides."""
    with serving(tmp_path) as server:
        _send(server, 4.5, 3)
        page = phone(width, 900).page
        sign_in(page, server)
        _open(page, server)
        seat, ahead = page.get_by_label("Seat"), page.get_by_role('list', name="What would change")
        seat.fill("3")
        expect(ahead).to_contain_text("Seat: 1 → 3")
        expect(ahead).to_contain_text("Taster: mill-seat-1 → mill-seat-3")
        seat.fill("9")
        expect(page.get_by_role('alert')).to_contain_text("No seat 9 at this site.")
        seat.fill("2")
        group = page.get_by_role('group', name="This pour has a sheet already")
        expect(group).to_contain_text("Seat 2 has a sheet for this pour already")
        found = look_over(page, f'moved {width}')
        for theme in ('light', 'dark'):
            page.emulate_media(color_scheme=theme)
            picture(page, f'desk-move-{width}-{theme}', full=True)
        page.get_by_label("Reason").fill("the phones were mixed up")
        page.get_by_label("Reason").press('Enter')
        expect(page.get_by_text("it waits as a conflict with entry")).to_be_visible()
        expect(page.get_by_text("This sheet is set aside and does not count.")).to_be_visible()
        if page.evaluate('() => document.documentElement.scrollWidth > innerWidth'):
            found.append(f'wider than {width}')
        assert [] == found
        page.get_by_role('link', name="Needs a look").last.click()
        article = page.get_by_role('article')
        expect(article).to_contain_text("4.5")
        page.keyboard.press('2')
        expect(page.get_by_role('region', name="Decided")).to_contain_text("take the other")
        (correction,) = server.records('correction')
        assert ('mill-seat-2', 4.5) == (
            correction['entry']['taster'], correction['entry']['marks']['aroma'],
        )  # fmt: skip


def test_two_sheets_change_places(phone, tmp_path) -> None:
    """Whoever took each other's phone get their own marks, in German as well."""
    with serving(tmp_path) as server:
        _send(server, 4.5, 3)
        page = phone(1440, 900, locale='de-DE').page
        page.goto(f'{server.url}/desk')
        sign_in_german(page, server)
        page.goto(f'{server.url}/desk/entries?seat=1')
        page.get_by_role('link', name="Eintrag").first.click()
        page.get_by_label("Platz", exact=True).fill("2")
        heading = page.get_by_role('heading', name="Aroma", exact=True)
        expect(heading).to_have_attribute('lang', 'en')
        ahead = page.get_by_role('list', name="Was sich ändern würde")
        expect(ahead).to_contain_text("Platz: 1 → 2")
        page.get_by_role('radio', name="Die beiden wurden verwechselt").check()
        page.get_by_label("Grund").fill("Telefone vertauscht")
        page.get_by_role('button', name="Die Plätze tauschen").click()
        expect(page.get_by_text("haben die Plätze getauscht")).to_be_visible()
        swapped = [record['entry'] for record in server.records('correction')]
        assert [('mill-seat-2', 4.5), ('mill-seat-1', 3)] == [
            (entry['taster'], entry['marks']['aroma']) for entry in swapped
        ]
