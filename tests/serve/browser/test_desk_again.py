"""At the desk in a browser: deciding anew, correcting a sheet, a cleaned copy; and in German."""

from __future__ import annotations

import sqlite3

import pytest
from playwright.sync_api import expect

from .at_desk import NAME, TOPS, Taster, settled, sign_in, sign_in_german
from .conftest import look_over, picture, serving


def _send_odd(server) -> None:
    """One sheet that is held, two that disagree, and one with every mark at its top."""
    first, again = Taster(server, 1), Taster(server, 1)
    first.send(first.codes[0], {**TOPS, 'aroma': 4.25})
    first.send(first.codes[1], {**TOPS, 'aroma': 4.5})
    again.send(first.codes[1], {**TOPS, 'aroma': 3})
    top = Taster(server, 2)
    top.send(top.codes[0], TOPS)


def _kinds(server) -> list[str]:
    with sqlite3.connect(server.file.with_suffix('.ledger')) as ledger:
        return [kind for (kind,) in ledger.execute('SELECT kind FROM record ORDER BY sequence')]


def test_what_was_decided_is_decided_anew_with_a_key(phone, tmp_path) -> None:
    """The list says who, when and why; U opens the last one, and a key decides it once more."""
    with serving(tmp_path) as server:
        taster = Taster(server, 1)
        taster.send(taster.codes[0], {**TOPS, 'aroma': 4.25})
        page = phone(1440, 900).page
        sign_in(page, server)
        page.goto(f'{server.url}/desk/looks')
        page.get_by_role('heading', name="Aroma").first.wait_for()
        page.get_by_label("Reason").fill("asked the taster")
        page.get_by_label("Reason").press('Escape')
        page.keyboard.press('1')
        decided = page.get_by_role('region', name="Decided")
        expect(decided).to_contain_text("→ 4")
        expect(decided).to_contain_text(f"{NAME}, ")
        expect(decided).to_contain_text("asked the taster")
        assert [] == look_over(page, 'decided')
        # After a reload it is still there.
        page.reload()
        expect(decided).to_contain_text("asked the taster")
        page.keyboard.press('u')
        expect(page.get_by_role('article')).to_contain_text("Decided before; choose again")
        page.keyboard.press('2')
        expect(decided).to_contain_text("4½")
        picture(page, 'desk-decided-1440', full=True)
        assert 'correction' == _kinds(server)[-1]
        decided.get_by_role('link', name="Entry").click()
        expect(page.get_by_role('slider', name="Aroma", exact=True)).to_have_attribute(
            'aria-valuetext', "four and a half of six"
        )


@pytest.mark.parametrize('width', [360, 768, 1440])
def test_a_sheet_is_found_and_corrected_by_keyboard(phone, tmp_path, width) -> None:
    """By seat and code to its marks; another mark, a fault, a reason; and its history tells."""
    with serving(tmp_path) as server:
        for seat in (1, 2):
            taster = Taster(server, seat)
            taster.send(taster.codes[0], {**TOPS, 'aroma': 4.5})
        page = phone(width, 900).page
        sign_in(page, server)
        page.goto(f'{server.url}/desk/entries')
        expect(page.get_by_text("2 sheets.")).to_be_visible()
        page.get_by_label("Seat").fill("2")
        expect(page.get_by_text("1 sheet.", exact=True)).to_be_visible()
        page.get_by_role('link', name="Entry").focus()
        page.keyboard.press('Enter')
        ruler = page.get_by_role('slider', name="Aroma", exact=True)
        ruler.focus()
        page.keyboard.press('ArrowLeft')
        page.get_by_text("Something wrong?", exact=False).or_(page.locator('summary')).first.focus()
        page.keyboard.press('Enter')
        page.get_by_role('checkbox', name="Corked").focus()
        page.keyboard.press('Space')
        expect(page.get_by_text("2 things read otherwise; not kept yet.")).to_be_visible()
        found = look_over(page, f'entry {width}')
        page.get_by_label("Reason").focus()
        page.keyboard.type("the taster asked me to")
        page.keyboard.press('Enter')
        expect(page.get_by_text("Corrected. What it said before stays")).to_be_visible()
        story = page.get_by_role('region', name="What became of it")
        expect(story).to_contain_text("Aroma: 4½ → 4")
        expect(story).to_contain_text("the taster asked me to")
        expect(story).to_contain_text(NAME)
        (correction,) = server.records('correction')
        assert (4.0, ['corked']) == (
            correction['entry']['marks']['aroma'], correction['entry']['faults'],
        )  # fmt: skip
        if page.evaluate('() => document.documentElement.scrollWidth > innerWidth'):
            found.append(f'wider than {width}')
        assert [] == found
        for theme in ('light', 'dark'):
            page.emulate_media(color_scheme=theme)
            picture(page, f'desk-entry-{width}-{theme}', full=True)


def test_a_cleaned_copy_is_made(phone, tmp_path) -> None:
    """After erasing somebody the page offers the copy, and says what it cannot do."""
    with serving(tmp_path) as server:
        taster = Taster(server, 1)
        taster.send(taster.codes[0], TOPS, remark="Odo Pell said so")
        page = phone(1440, 900).page
        sign_in(page, server)
        page.goto(f'{server.url}/desk/people')
        copy = page.get_by_role('region', name="A cleaned copy of the record")
        expect(copy).to_contain_text("Nobody was erased yet.")
        page.get_by_role('button', name="1 sheet").first.click()
        page.get_by_text("Erase the name").first.click()
        page.get_by_label("To be sure, type").fill("mill-seat-1")
        page.get_by_role('button', name="Erase the name").click()
        page.get_by_role('button', name="Close").click()
        copy.get_by_label("Names by which").fill("Odo Pell")
        copy.get_by_label("Reason").fill("asked for")
        assert [] == look_over(page, 'cleaned copy')
        picture(page, 'desk-cleaned-1440', full=True)
        with page.expect_download() as download:
            copy.get_by_role('button', name="Make the copy").click()
        expect(copy).to_contain_text("Kept as mossgate-cleaned.ledger")
        content = download.value.path().read_bytes()
        assert b'SQLite' in content[:16]
        assert b'Odo Pell' not in content
        assert b'Odo Pell' in server.file.with_suffix('.ledger').read_bytes() + _rest(server)


def _rest(server) -> bytes:
    wal = server.file.with_suffix('.ledger-wal')
    return wal.read_bytes() if wal.exists() else b''


def test_what_the_server_says_is_german_too(phone, tmp_path) -> None:
    """Questions, choices, refusals and cautions are said in the language of the person."""
    with serving(tmp_path) as server:
        _send_odd(server)
        page = phone(1440, 900, locale='de-DE').page
        page.goto(f'{server.url}/desk')
        page.get_by_label("Passwort").fill("falsch")
        page.get_by_role('button', name="An den Schreibtisch").click()
        expect(page.get_by_role('alert')).to_contain_text("Das ist nicht das Passwort der Leitung.")
        sign_in_german(page, server)
        page.goto(f'{server.url}/desk/looks')
        article = page.get_by_role('article')
        expect(article).to_contain_text("wo Eintrag")
        expect(article.get_by_role('button', name="das andere nehmen")).to_be_visible()
        picture(page, 'desk-looks-de-1440', full=True)
        page.keyboard.press('1')
        expect(article).to_contain_text("Erwartet: 0 bis 6 in halben Punkten.")
        expect(article.get_by_role('button', name="weglassen")).to_be_visible()
        page.keyboard.press('1')
        expect(article).to_contain_text("das Höchste, das der Bogen zulässt")
        page.goto(f'{server.url}/desk/pours')
        settled(page)
        page.get_by_text("Hinweise zum Vorlesen").click()
        expect(page.get_by_text("Niemand muss ein Glas leeren.")).to_be_visible()
        page.goto(f'{server.url}/join/ZZZZZZ')
        expect(page.get_by_text("Kein Tisch hier hat diesen Code.")).to_be_visible()
