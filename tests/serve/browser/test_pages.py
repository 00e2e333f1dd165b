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


IPHONE = (
    'Mozilla/5.0 (iPhone; CPU iPhone OS 18_0 like Mac OS X) AppleWebKit/605.1.15 '
    '(KHTML, like Gecko) Version/18.0 Mobile/15E148 Safari/604.1'
)
# Storage that promises nothing, and notes how often it was asked to.
PROMISES_NOTHING = """
  window.asked = 0
  navigator.storage.persist = async () => { window.asked += 1; return false }
  navigator.storage.persisted = async () => false
"""


@pytest.mark.parametrize(
    ('browser_is', 'said'),
    [(IPHONE, "may erase unsent marks seven days after your last visit"),
     ('', "keeps unsent marks until the phone runs short of space")],
)  # fmt: skip
def test_it_says_how_long_unsent_marks_are_safe(served, phone, browser_is, said) -> None:
    """The browser is asked once to keep them; where it does not promise, that is said plainly."""
    mine = phone(**({'user_agent': browser_is} if browser_is else {}))
    mine.page.add_init_script(PROMISES_NOTHING)
    page = mine.join(served, 3)
    mine.mark('Aroma', 3, 6)
    mine.mark('Taste', 3, 6)
    page.wait_for_function('() => window.asked === 1')
    page.get_by_role('link', name='all pours').click()
    expect(page.get_by_text(said)).to_be_visible()
    expect(page.get_by_role('button', name="Save my marks to a file")).to_be_visible()
    assert 1 == page.evaluate('() => window.asked')


def test_the_sheet_can_be_installed(served, phone) -> None:
    """Chromium finds nothing that keeps it from putting the app on the home screen."""
    page = phone(service_workers='allow').page
    page.goto(served.url)
    page.evaluate("() => navigator.serviceWorker.ready.then(() => null)")
    told = page.context.new_cdp_session(page).send('Page.getInstallabilityErrors')
    # A window without a trace, as tests have it, installs nothing.
    assert [] == [
        e['errorId'] for e in told['installabilityErrors'] if e['errorId'] != 'in-incognito'
    ]


def test_on_paper_stands_no_button(served, phone) -> None:
    """A taster's pours print with their marks, and nothing that can be pressed."""
    mine = phone(768, 1024)
    page = mine.join(served, 5)
    mine.mark_all()
    page.get_by_role('link', name='all pours').click()
    page.emulate_media(media='print')
    expect(page.get_by_text("16½").first).to_be_visible()
    assert 0 == page.locator('.button:visible, footer:visible').count()


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
