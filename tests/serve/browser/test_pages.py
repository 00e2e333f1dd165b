"""Every page of the taster: what axe-core finds, how it looks, and what reaches the phone."""

from __future__ import annotations

from dataclasses import replace

import pytest
from playwright.sync_api import expect

from halfpoint.ledger.changes import reveal
from halfpoint.ledger.ledger import Ledger

from .conftest import ROOM, look_over, picture, serving

# Width, height, and a seat of its own.
SCREENS = ((360, 760, 1), (768, 1024, 3), (1440, 900, 5))


def _fill(mine) -> None:
    """A pour with something in every part of it, guidance and faults open."""
    mine.mark_all()
    page = mine.page
    page.get_by_role('button', name='Citrus', exact=True).click()
    page.get_by_role('button', name='lemon', exact=True).click()
    page.get_by_label("Search, or write your own word").fill("wet wool")
    page.keyboard.press('Enter')
    page.get_by_role('button', name="what to look for: Aroma").click()
    page.get_by_text("Anything wrong with it?").click()
    page.get_by_role('checkbox', name='Haze').check()
    page.get_by_role('button', name="Time the finish").click()
    page.get_by_role('button', name="Stop").click()
    page.get_by_label("Remark").fill("Clear, a little sharp.")


@pytest.mark.parametrize(('width', 'height', 'seat'), SCREENS)
def test_pages_are_for_everybody(served, phone, width, height, seat) -> None:
    """axe-core finds nothing in light and in dark, and no page is wider than its screen."""
    mine = phone(width, height)
    page, found = mine.page, []

    def look(name: str, *, full: bool = False) -> None:
        # The markup is the same at every width.
        if width == 360:
            found.extend(look_over(page, name))
        for theme in ('light', 'dark'):
            page.emulate_media(color_scheme=theme)
            picture(page, f'taster-{name}-{width}-{theme}', full=full)
        page.emulate_media(color_scheme='light')

    page.goto(served.url)
    page.get_by_label("Code of the table").wait_for()
    look('join')
    page.goto(f'{served.url}/join/{served.code}')
    page.get_by_role('radio', name=f'Seat {seat}').check()
    look('seat')
    page.get_by_role('button', name="Sit down").click()
    page.get_by_role('button', name="To the first pour").wait_for()
    look('cautions')
    page.get_by_role('button', name="To the first pour").click()
    page.get_by_role('slider').first.wait_for()
    look('empty')
    _fill(mine)
    look('filled', full=True)
    expect(page.get_by_text("Worth a second look")).to_be_visible()
    page.evaluate('() => scrollTo(0, 0)')
    look('hint')
    page.get_by_role('link', name='all pours').click()
    page.get_by_role('heading', name="Where your marks are").wait_for()
    look('pours', full=True)
    assert [] == found
    assert page.evaluate('() => document.documentElement.scrollWidth <= innerWidth')


def test_hints_are_shown_once(served, phone) -> None:
    """A hint goes away when it was read, and stays away after a reload."""
    mine = phone()
    page = mine.join(served, 2)
    _fill(mine)
    page.get_by_role('button', name="Leave it as it is").click()
    expect(page.get_by_text("Worth a second look")).to_have_count(0)
    page.reload()
    page.get_by_role('slider').first.wait_for()
    expect(page.get_by_text("Worth a second look")).to_have_count(0)


def test_the_other_language_is_whole(served, phone) -> None:
    """A phone in German gets German, and the choice of another language is kept."""
    page = phone(locale='de-DE').page
    page.goto(served.url)
    expect(page.get_by_role('heading', name="Platz nehmen")).to_be_visible()
    assert 'de' == page.evaluate('() => document.documentElement.lang')
    page.goto(f'{served.url}/join/{served.code}')
    page.get_by_role('radio', name='Platz 4').check()
    page.get_by_role('button', name="Platz nehmen").click()
    page.get_by_role('button', name="Zur ersten Probe").click()
    expect(page.get_by_text("Probe 1 von 4")).to_be_visible()
    picture(page, 'taster-german-360')
    page.get_by_role('link', name="alle Proben").click()
    page.get_by_label("Sprache").select_option('en')
    expect(page.get_by_role('heading', name="Where your marks are")).to_be_visible()
    page.reload()
    expect(page.get_by_role('heading', name="Where your marks are")).to_be_visible()


def test_the_first_load_is_small_and_all_from_here(served, phone) -> None:
    """The sheet comes in under 150 KB, from this server alone, with nothing of desk or host."""
    mine = phone()
    page = mine.page
    sizes: dict[str, int] = {}

    def count(request) -> None:
        told = request.sizes()
        sizes[request.url] = told['responseBodySize'] + told['responseHeadersSize']

    page.on('requestfinished', count)
    mine.join(served, 2)
    files = {url: size for url, size in sizes.items() if '/api/' not in url}
    assert [] == [url for url in sizes if not url.startswith(served.url)]
    assert [] == [url for url in files if '/desk-' in url or '/host-' in url]
    assert sum(files.values()) < 150_000, files
    assert page.locator('.ruler').count() == 5


def test_without_encryption_it_still_stores_and_sends(served, phone) -> None:
    """Over plain http in a room marks are stored and sent, and the page says what is missing."""
    room = replace(served, url=served.url.replace('127.0.0.1', ROOM))
    mine = phone(service_workers='allow')
    page = mine.join(room, 6)
    assert not page.evaluate('() => isSecureContext')
    mine.mark_all()
    expect(page.locator('footer')).to_contain_text("sent")
    page.reload()
    expect(page.get_by_role('slider', name='Taste', exact=True)).to_have_attribute(
        'aria-valuetext', "four and a half of six"
    )
    page.get_by_role('link', name='all pours').click()
    expect(page.get_by_text("This page came without encryption")).to_be_visible()
    page.get_by_role('link', name="Use another seat").click()
    expect(page.get_by_label("Code of the table")).to_be_visible()


def test_after_the_reveal_own_marks_stand_beside_the_groups(phone, tmp_path) -> None:
    """Once revealed, each pour has its wine's name, the own mark and the group's on one ruler."""
    with serving(tmp_path) as server:
        mine = phone()
        page = mine.join(server, 1)
        mine.mark_all()
        expect(page.locator('footer')).to_contain_text("sent")
        assert 'Quillmere' not in page.content()
        with Ledger.open(server.file.with_suffix('.ledger'), tasting_key='mossgate') as ledger:
            reveal(ledger, who="Ottoline Fenn")
        page.goto(f'{server.url}/?view=pours')
        page.get_by_role('link', name="Compare with the group").click()
        expect(page.get_by_role('heading', level=2)).to_have_count(4)
        expect(page.get_by_text("you 16½").first).to_be_visible()
        assert [] == look_over(page, 'result')
        picture(page, 'taster-result-360', full=True)
