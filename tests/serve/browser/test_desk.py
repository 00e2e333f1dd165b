"""The organiser's desk in a browser, from signing in to the reveal."""

from __future__ import annotations

import json
import re
import sqlite3

import pytest
from playwright.sync_api import expect

from .at_desk import NAME, TITLE, TOPS, Taster, fill, host_link, settled, sign_in
from .conftest import ROOT, look_over, picture, serving

WEB = ROOT / 'web/src'
WIDTHS = ((360, 760), (768, 1024), (1440, 900))
# Colours are the same at each width; what a width changes is looked for in light.
THEMES = {360: ('light', 'dark'), 768: ('light',), 1440: ('light',)}
PAGES = {
    'sheets': '/desk', 'wines': '/desk/wines', 'pours': '/desk/pours', 'door': '/desk/door',
    'looks': '/desk/looks', 'entries': '/desk/entries', 'found': '/desk/found',
    'tasters': '/desk/tasters', 'aside': '/desk/aside', 'share': '/desk/share',
    'people': '/desk/people', 'settings': '/desk/settings',
}  # fmt: skip


# Remembers whether a part was ever said to be weighed again while the sheet was in already.
SEE_AGAIN = """() => {
  window.seen = false
  const look = () => {
    const text = document.body.innerText
    window.seen ||= text.includes('Every sheet is in the scores') && /\\n17\\s/.test(text)
  }
  new MutationObserver(look).observe(document.body, { subtree: true, childList: true })
}"""


@pytest.fixture(scope='module')
def filled(served):
    """The tasting with sheets of five of six seats, and one sheet that is held."""
    fill(served, range(1, 6))
    last = Taster(served, 6)
    last.send(last.codes[0], {**TOPS, 'aroma': 4.25})
    return served


def test_the_wrong_password_is_told_calmly(served, phone) -> None:
    """A wrong password says so, and what to do."""
    page = phone(1440, 900).page
    page.goto(f'{served.url}/desk')
    page.get_by_label("Password").fill("not the password")
    page.get_by_role('button', name="Sit down at the desk").click()
    expect(page.get_by_role('alert')).to_contain_text("not the organiser's password")
    assert [] == look_over(page, 'sign in')
    picture(page, 'desk-sign-in-1440')


def test_every_page_is_looked_at() -> None:
    """The pages walked below are all that the desk has."""
    there = re.findall(r"path: '(/desk[^']*)'", (WEB / 'desk/pages.ts').read_text('utf-8'))
    assert sorted(there) == sorted(PAGES.values())


@pytest.mark.parametrize(('width', 'height'), WIDTHS)
def test_every_page_is_for_everybody(filled, phone, width, height) -> None:
    """axe-core finds nothing on any page of the desk in light and dark, and none is too wide."""
    page, found = phone(width, height).page, []
    sign_in(page, filled)
    for name, path in PAGES.items():
        page.goto(filled.url + path)
        settled(page)
        page.wait_for_timeout(300)
        found += look_over(page, f'{name} {width}', THEMES[width])
        if page.evaluate('() => document.documentElement.scrollWidth > innerWidth'):
            found.append(f'{name} is wider than {width}')
        for theme in ('light', 'dark'):
            page.emulate_media(color_scheme=theme)
            picture(page, f'desk-{name}-{width}-{theme}')
        page.emulate_media(color_scheme='light')
    assert [] == found


def test_on_paper_stands_what_was_found_alone(filled, phone) -> None:
    """No page prints a button or the list of pages; printed in the dark it is ink on paper."""
    page = phone(1024, 800).page
    sign_in(page, filled)
    for path in PAGES.values():
        page.goto(filled.url + path)
        settled(page)
        page.emulate_media(media='print', color_scheme='dark')
        seen = page.locator('.button:visible, #desk-pages:visible, .no-print:visible')
        assert (path, 0) == (path, seen.count())
        assert page.locator('main').inner_text().strip(), path
        paper = page.evaluate('() => getComputedStyle(document.body).backgroundColor')
        assert (path, 'rgb(255, 255, 255)') == (path, paper)
        page.emulate_media(media='screen', color_scheme='light')


def test_light_or_dark_is_chosen_and_kept(filled, phone) -> None:
    """What is chosen at the desk holds against the device, on every page, after a reload."""
    page = phone(1440, 900, color_scheme='light').page
    sign_in(page, filled)
    page.goto(f'{filled.url}/desk/settings')
    ground = '() => getComputedStyle(document.body).backgroundColor'
    light = page.evaluate(ground)
    page.get_by_label("Light or dark").select_option('dark')
    dark = page.evaluate(ground)
    assert light != dark
    page.goto(f'{filled.url}/desk')
    assert dark == page.evaluate(ground)


def test_sheets_are_counted_as_they_come(phone, tmp_path) -> None:
    """The page of progress shows a sheet moments after a taster has sent it, without a reload."""
    with serving(tmp_path) as server:
        page = phone(1440, 900).page
        sign_in(page, server)
        expect(page.get_by_text("0 of 24 sheets are in")).to_be_visible()
        expect(page.get_by_role('status').first).to_have_text("Counts as they come")
        taster = Taster(server, 1)
        taster.send(taster.codes[0], TOPS)
        expect(page.get_by_text("1 of 24 sheets are in, from 1 taster.")).to_be_visible()


def test_a_tasting_is_begun_planned_and_changed(phone, tmp_path) -> None:
    """From an empty folder: the form makes the file, the file the form, and a plan follows."""
    with serving(tmp_path, empty=True) as server:
        page = phone(1440, 900).page
        sign_in(page, server)
        expect(page.get_by_role('heading', name="Begin a tasting")).to_be_visible()
        page.get_by_label("Title").fill(TITLE)
        page.get_by_label("Short name").first.fill("mossgate")
        page.get_by_role('button', name="without a name").click()
        page.get_by_label("Name", exact=True).fill("Quillmere Vexhollow")
        text = page.get_by_role('textbox', name="The file")
        expect(text).to_have_value(_holding('key = "quillmere-vexhollow"'))
        page.get_by_label("Price of a bottle").fill("-3")
        expect(page.get_by_text("Found -3; expected 0 or more.")).to_be_visible()
        expect(page.get_by_label("Price of a bottle")).to_have_attribute('aria-invalid', 'true')
        page.get_by_label("Price of a bottle").fill("12,5")
        more = '\n'.join(f'[[wine]]\nkey = "wine-{n}"\nname = "Tarnbeck {n}"' for n in range(2, 5))
        expect(text).to_have_value(_holding('price = 12.5'))
        text.fill(f'{text.input_value()}\n{more}\n')
        expect(page.get_by_role('heading', name="4 wines")).to_be_visible()
        page.get_by_role('button', name="Begin this tasting").click()
        expect(page.get_by_text("Kept in the file.")).to_be_visible()
        assert 'Tarnbeck 4' in server.file.read_text(encoding='utf-8')
        page.get_by_role('link', name="On to the pours").click()
        page.get_by_role('button', name="Make the plan").click()
        expect(page.get_by_text("A new plan is in force.")).to_be_visible(timeout=60_000)
        expect(page.get_by_text("40 pours for 10 tasters")).to_be_visible()
        page.get_by_role('button', name="Show the wines").click()
        expect(page.get_by_role('cell', name="Tarnbeck 4").first).to_be_visible()
        _change_under_the_hand(page, server)


def _change_under_the_hand(page, server) -> None:
    """What somebody else has written meanwhile is not overwritten."""
    page.get_by_role('link', name="Wines and rooms").click()
    page.get_by_label("Currency").wait_for()
    page.get_by_label("Currency").fill("EUR")
    changed = server.file.read_text(encoding='utf-8') + '\n# by hand\n'
    server.file.write_text(changed, encoding='utf-8')
    page.get_by_role('button', name="Keep the changes").click()
    expect(page.get_by_role('alert')).to_contain_text("has changed since it was opened here")
    assert changed == server.file.read_text(encoding='utf-8')
    page.get_by_role('button', name="Load what is there now").click()
    expect(page.get_by_role('textbox', name="The file")).to_have_value(_holding('# by hand'))


def _holding(text: str):
    return re.compile(re.escape(text))


def test_a_score_sheet_of_ones_own(phone, tmp_path) -> None:
    """One begun from a built-in sheet is kept beside the tasting file, and named in it."""
    with serving(tmp_path) as server:
        page = phone(1440, 900).page
        sign_in(page, server)
        page.goto(f'{server.url}/desk/wines')
        page.get_by_role('button', name="Begin your own from it: Twenty points").click()
        text = page.get_by_label("The sheet, as text")
        text.fill(text.input_value().replace('label = "Twenty points"', 'label = "Ours"'))
        page.get_by_role('button', name="Keep this sheet").click()
        expect(page.get_by_text("Kept as our-sheet.toml.")).to_be_visible()
        assert 'label = "Ours"' in (tmp_path / 'our-sheet.toml').read_text(encoding='utf-8')
        expect(page.get_by_text("Not kept yet.")).to_be_visible()
        page.get_by_role('button', name="Keep the changes").click()
        expect(page.get_by_text("Kept in the file.")).to_be_visible()
        assert 'sheet = "our-sheet.toml"' in server.file.read_text(encoding='utf-8')


def test_one_key_decides(phone, tmp_path) -> None:
    """A key decides what needs a look; it is recorded with name and reason, the next is shown."""
    with serving(tmp_path) as server:
        for seat in (1, 2):
            taster = Taster(server, seat)
            taster.send(taster.codes[0], {**TOPS, 'aroma': 4.25})
        page = phone(1440, 900).page
        sign_in(page, server)
        page.goto(f'{server.url}/desk/looks')
        expect(page.get_by_role('heading', name="Aroma").first).to_be_visible()
        expect(page.get_by_text("2 waiting").first).to_be_visible()
        page.keyboard.press('w')
        page.keyboard.type("asked the taster")
        page.keyboard.press('Escape')
        first = page.get_by_role('article').inner_text()
        page.keyboard.press('2')
        expect(page.get_by_text("1 waiting").first).to_be_visible()
        expect(page.get_by_role('article')).not_to_have_text(first)
        page.keyboard.press('1')
        expect(page.get_by_text("Nothing needs a look.")).to_be_visible()
        expect(page.get_by_text("being written down")).to_have_count(0)
        entries = server.records('entry')
        assert [4.0, 4.5] == sorted(entry['entry']['marks']['aroma'] for entry in entries)


def test_setting_aside_is_looked_at_before(filled, phone) -> None:
    """Scores are shown before and after; only then, with a reason, is it recorded."""
    page = phone(1440, 900).page
    sign_in(page, filled)
    page.goto(f'{filled.url}/desk/aside')
    page.get_by_role('radio', name="one sheet").check()
    page.get_by_label("Number of the entry").fill(str(_first_entry(filled)))
    before = len(filled.records('set_aside'))
    page.get_by_role('button', name="See before and after").click()
    expect(page.get_by_text("1 sheet would no longer count")).to_be_visible(timeout=60_000)
    assert before == len(filled.records('set_aside'))
    page.get_by_label("Reason").fill("glass was rinsed with soap")
    picture(page, 'desk-aside-preview-1440', full=True)
    page.get_by_role('button', name="Set aside", exact=True).click()
    expect(page.get_by_text("glass was rinsed with soap")).to_be_visible()
    assert before + 1 == len(filled.records('set_aside'))
    page.get_by_role('button', name="Let it count again:").click()
    page.get_by_label("Reason").fill("it was another glass")
    page.get_by_role('button', name="Let it count again").click()
    expect(page.get_by_text("Nothing is set aside.")).to_be_visible()


def _first_entry(server) -> int:
    with sqlite3.connect(server.file.with_suffix('.ledger')) as ledger:
        row = ledger.execute("SELECT min(sequence) FROM record WHERE kind = 'entry'").fetchone()
    return int(row[0])


def test_the_finding_comes_first(filled, phone) -> None:
    """The sentence stands above the chart; the chart has a name, and its figures in a table."""
    page = phone(1440, 900).page
    sign_in(page, filled)
    page.goto(f'{filled.url}/desk/found')
    settled(page)
    sentence, chart = page.locator('.sentence'), page.get_by_role('img', name="Total: scores of 4")
    expect(chart).to_be_visible()
    assert sentence.bounding_box()['y'] < chart.bounding_box()['y']
    page.get_by_role('button', name="Aroma").click()
    expect(page.get_by_role('img', name="Aroma: scores of 4")).to_be_visible()
    for part in ("Where each wine may stand", "What else the marks say", "Bottles"):
        expect(page.get_by_role('heading', name=part)).to_be_visible()
    page.get_by_text("The figures").click()
    expect(page.get_by_role('rowheader', name="Quillmere Vexhollow").first).to_be_visible()
    picture(page, 'desk-found-whole-1440', full=True)


def test_a_new_sheet_is_in_the_scores_at_once(phone, tmp_path) -> None:
    """An open page shows it in the scores, and says what is still being weighed again."""
    with serving(tmp_path) as server:
        fill(server, range(1, 5))
        page = phone(1440, 900).page
        sign_in(page, server)
        page.goto(f'{server.url}/desk/found')
        done = page.get_by_text("Everything that is in has been weighed")
        done.wait_for(timeout=120_000)
        count = page.locator('.figure', has_text="sheets weighed").locator('dd')
        assert count.inner_text().startswith('16')

        page.evaluate(SEE_AGAIN)
        taster = Taster(server, 5)
        taster.send(taster.codes[0], TOPS, terms=[])

        expect(count).to_contain_text('17', timeout=60_000)
        picture(page, 'desk-found-again-1440', full=True)
        done.wait_for(timeout=120_000)
        assert page.evaluate('window.seen')
        assert 0 == page.get_by_text("being weighed again", exact=True).count()


def test_a_host_gets_a_link_and_loses_it(filled, phone) -> None:
    """A link opens the host's page until it is taken back."""
    page, other = phone(1440, 900).page, phone().page
    sign_in(page, filled)
    page.goto(f'{filled.url}/desk/door')
    link = host_link(page)
    token = link.rpartition('#')[2]
    other.goto(f'{filled.url}/host#{token}')
    expect(other.get_by_role('heading', name="Who has sent what")).to_be_visible()
    page.get_by_role('button', name="Take back the link").first.click()
    expect(page.get_by_text("taken back").first).to_be_visible()
    other.reload()
    expect(other.get_by_text("this link was taken back", exact=False)).to_be_visible()


def test_a_person_is_exported_and_erased(phone, tmp_path) -> None:
    """Everything kept of a person is one file; erasing asks for the key, marks stay."""
    with serving(tmp_path) as server:
        fill(server, range(1, 3))
        page = phone(1440, 900).page
        sign_in(page, server)
        page.goto(f'{server.url}/desk/people')
        page.get_by_role('button', name="4 sheets").first.click()
        with page.expect_download() as download:
            page.get_by_role('link', name="Everything kept of this person").click()
        told = json.loads(download.value.path().read_text(encoding='utf-8'))
        assert told
        page.get_by_text("Erase the name").first.click()
        key = page.get_by_label("To be sure, type")
        erase = page.get_by_role('button', name="Erase the name")
        expect(erase).to_be_disabled()
        label = page.locator('label', has=key).inner_text()
        key.fill(label.removeprefix("To be sure, type ").splitlines()[0])
        erase.click()
        expect(page.get_by_text("From now on the marks stand under")).to_be_visible()
        assert 8 == len(server.records('entry'))


def test_the_reveal_asks_for_the_title(phone, tmp_path) -> None:
    """Wines are revealed only once the title was typed; the page then says by whom."""
    with serving(tmp_path) as server:
        page = phone(1440, 900).page
        sign_in(page, server)
        page.goto(f'{server.url}/desk/share')
        reveal = page.get_by_role('button', name="Reveal the wines")
        expect(reveal).to_be_disabled()
        page.get_by_label("To be sure, type the title").fill(TITLE)
        reveal.click()
        expect(page.get_by_text(f"Revealed by {NAME}")).to_be_visible()
        assert 1 == len(server.records('reveal'))


def test_the_desk_speaks_german(filled, phone) -> None:
    """The choice of another language reaches every part of the desk, and is kept."""
    page = phone(1440, 900).page
    sign_in(page, filled)
    page.goto(f'{filled.url}/desk/settings')
    page.get_by_label("Language").select_option('de')
    expect(page.get_by_role('heading', name="Dieser Schreibtisch")).to_be_visible()
    page.get_by_role('link', name="Eingegangen").click()
    expect(page.get_by_role('heading', name="Eingegangen")).to_be_visible()
    page.reload()
    expect(page.get_by_role('heading', name="Eingegangen")).to_be_visible()
