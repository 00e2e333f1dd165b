"""A taster's evening in a real browser against the real server."""

from __future__ import annotations

import json
import re

import pytest
from playwright.sync_api import expect


def _waits(page, text: str) -> None:
    expect(page.locator('footer')).to_contain_text(text)


def test_marks_made_offline_survive_reload_and_are_sent_once(served, phone) -> None:
    """Joined, then without a network: marked, reloaded, closed; back online it is sent once."""
    mine = phone(service_workers='allow')
    page = mine.join(served, 1)
    page.evaluate("() => navigator.serviceWorker.ready.then(() => null)")
    page.reload()
    before = len(served.records('entry'))
    mine.offline()
    mine.mark_all()
    _waits(page, "kept on this phone · 1 waiting to send")
    page.reload()
    expect(page.get_by_role('slider', name='Aroma', exact=True)).to_have_attribute(
        'aria-valuetext', "five of six"
    )
    page.close()
    assert before == len(served.records('entry'))
    page = mine.page = mine.context.new_page()
    page.goto(f'{served.url}/?view=pours')
    expect(page.get_by_text("16½")).to_be_visible()
    mine.offline(False)
    _waits(page, "all sent")
    page.reload()
    _waits(page, "all sent")
    (entry,) = [
        body['entry'] for body in served.records('entry')[before:]
        if body['entry']['taster'] == 'mill-seat-1'
    ]  # fmt: skip
    assert 16.5 == entry['total']


def test_a_link_knocks_once(served, phone) -> None:
    """The table is asked for once, so that no late answer takes a chosen seat away."""
    mine = phone()
    knocks: list[str] = []
    mine.page.on(
        'request',
        lambda asked: asked.url.endswith('/api/join') and knocks.append(asked.method),
    )
    mine.join(served, 2)
    assert ['POST'] == knocks


def test_a_wine_takes_no_more_than_twelve_taps(served, phone) -> None:
    """Five marks, three aroma terms of three families, and on to the next pour: 12 taps."""
    mine = phone()
    page = mine.join(served, 2)
    page.evaluate("() => {window.taps = 0; addEventListener('pointerup', () => taps++, true)}")
    mine.mark_all()
    for family, term in (('Citrus', 'lemon'), ('Flowers', 'rose'), ('Spice', 'clove')):
        page.get_by_role('button', name=family, exact=True).click()
        page.get_by_role('button', name=term, exact=True).click()
    page.get_by_role('button', name="Next pour").click()
    expect(page.get_by_text("pour 2 of 4")).to_be_visible()
    assert 12 == page.evaluate('() => taps')
    # Families stay open, so that the same words take three taps less from now on.
    expect(page.get_by_role('button', name='clove', exact=True)).to_be_visible()


def test_two_devices_on_one_seat_become_a_visible_conflict(served, phone) -> None:
    """What two phones say differently of one pour is kept twice, and both are told."""
    one, two = phone(), phone()
    page = one.join(served, 3)
    one.mark_all()
    _waits(page, "sent")
    other = two.join(served, 3)
    expect(other.get_by_text("Marks for this pour have come from this seat")).to_be_visible()
    two.mark_all()
    two.mark('Aroma', 2, 6)
    expect(other.get_by_text("Another sheet says something else")).to_be_visible()
    _waits(other, "needs a look")
    kept = [body for body in served.records('entry') if body['entry']['taster'] == 'mill-seat-3']
    assert 1 == len(kept)
    assert any('mill-seat-3' in json.dumps(body) for body in served.records('held'))


def test_two_tabs_write_one_sheet(served, phone) -> None:
    """Marks from two tabs come together in each of them, and leave as one sheet."""
    mine = phone()
    page = mine.join(served, 4)
    second = mine.context.new_page()
    second.goto(page.url)
    mine.mark('Appearance', 3, 3)
    slider = second.get_by_role('slider', name='Appearance', exact=True)
    expect(slider).to_have_attribute('aria-valuetext', "three of three")
    mine.page = second
    for name, mark, top in (('Aroma', 4, 6), ('Taste', 4, 6), ('Aftertaste', 2, 3)):
        mine.mark(name, mark, top)
    mine.page = page
    mine.mark('Overall impression', 1.5, 2)
    _waits(page, "sent")
    _waits(second, "sent")
    mine.mark('Aroma', 4.5, 6)
    _waits(second, "sent")
    entries = [b for b in served.records('entry') if b['entry']['taster'] == 'mill-seat-4']
    assert 1 == len(entries)
    assert 14.5 == entries[0]['entry']['total']


def test_everything_works_by_keyboard(served, phone) -> None:
    """Rulers take arrows, Home, End, digits and Delete, and say the mark in words."""
    page = phone().join(served, 5)
    aroma = page.get_by_role('slider', name='Aroma', exact=True)
    aroma.focus()
    for keys, said in (
        ('ArrowRight', "zero of six"), ('ArrowRight', "half of six"),
        ('4', "four of six"), ('ArrowUp', "four and a half of six"),
        ('PageDown', "three and a half of six"),
        ('End', "six of six"), ('Home', "zero of six"), ('Delete', "no mark yet"),
    ):  # fmt: skip
        page.keyboard.press(keys)
        expect(aroma).to_have_attribute('aria-valuetext', said)
    for _ in range(8):
        page.keyboard.press('ArrowRight')
    expect(aroma).to_have_attribute('aria-valuetext', "three and a half of six")


def test_a_ruler_is_tapped_dragged_and_cleared(served, phone) -> None:
    """A tap takes the nearest step, a drag corrects it, and a button clears it."""
    mine = phone()
    page = mine.join(served, 5)
    aroma = page.get_by_role('slider', name='Aroma', exact=True)
    mine.mark('Aroma', 2, 6)
    expect(aroma).to_have_attribute('aria-valuetext', "two of six")
    box = aroma.bounding_box()
    assert box['height'] >= 48
    assert box['width'] / 13 >= 24
    page.mouse.move(box['x'] + box['width'] * 4.5 / 13, box['y'] + 24)
    page.mouse.down()
    page.mouse.move(box['x'] + box['width'] * 9.6 / 13, box['y'] + 30, steps=5)
    page.mouse.up()
    expect(aroma).to_have_attribute('aria-valuetext', "four and a half of six")
    page.get_by_role('button', name="Clear the mark for Aroma").click()
    expect(aroma).to_have_attribute('aria-valuetext', "no mark yet")


def test_the_stopwatch_says_short_medium_or_long(served, phone) -> None:
    """The time runs on over a reload, stops, and is called by the sheet's own bands."""
    mine = phone()
    mine.page.clock.install()
    page = mine.join(served, 5)
    page.get_by_role('button', name="Time the finish").click()
    page.get_by_role('button', name="Stop").wait_for()
    page.clock.fast_forward(20_000)
    page.reload()
    page.clock.fast_forward(15_000)
    page.get_by_role('button', name="Stop").click()
    expect(page.locator('output')).to_have_text(re.compile(r"3\d s, medium"))


def test_a_seat_that_ran_out_keeps_its_marks(served, phone) -> None:
    """With a token that is no longer good the marks stay, and joining again sends them."""
    mine = phone()
    page = mine.join(served, 6)
    page.route('**/api/sheet/**', lambda route: route.fulfill(
        status=401, json={'found': "the seat has run out"}))  # fmt: skip
    mine.mark_all()
    expect(page.get_by_text("Join again with the code of your table")).to_be_visible()
    page.unroute('**/api/sheet/**')
    page.get_by_role('link', name="Join again to send").click()
    page.get_by_role('radio', name='Seat 6').check()
    page.get_by_role('button', name="Sit down").click()
    page.get_by_role('link', name='all pours').click()
    _waits(page, "all sent")
    expect(page.get_by_text("16½")).to_be_visible()


def test_a_clock_hours_out_changes_nothing(served, phone) -> None:
    """A phone whose clock is a day behind sends its marks, and its later version counts."""
    mine = phone()
    mine.page.clock.set_fixed_time('2001-01-01T00:00:00Z')
    page = mine.join(served, 6)
    page.get_by_role('link', name='all pours').click()
    page.get_by_role('link', name="not begun").last.click()
    mine.mark_all()
    _waits(page, "sent")
    mine.mark('Aroma', 3, 6)
    _waits(page, "kept on this phone")
    _waits(page, "sent")
    last = [
        body for kind in ('entry', 'correction') for body in served.records(kind)
    ]  # fmt: skip
    assert '14.5' in json.dumps(last)


def test_own_words_in_any_script_arrive(served, phone) -> None:
    """A word of the taster's own, from right to left or with an emoji, is kept and sent."""
    mine = phone()
    page = mine.join(served, 5)
    page.get_by_role('link', name='all pours').click()
    page.get_by_role('link', name="not begun").last.click()
    for word in ("عسل", "wet wool 🐑"):
        page.get_by_label("Search, or write your own word").fill(word)
        page.keyboard.press('Enter')
    page.get_by_label("Remark").fill("طعم عسل 🍯")
    mine.mark_all()
    _waits(page, "sent")
    words = [body['entry'].get('own_words') for body in served.records('entry')]
    assert ["عسل", "wet wool 🐑"] in words


def test_marks_can_be_saved_to_a_file(served, phone, tmp_path) -> None:
    """Without a network the marks go to a file with the body that the server takes."""
    mine = phone()
    page = mine.join(served, 5)
    mine.offline()
    mine.mark_all()
    page.get_by_role('link', name='all pours').click()
    with page.expect_download() as download:
        page.get_by_role('button', name="Save my marks to a file").click()
    path = tmp_path / 'marks.json'
    download.value.save_as(path)
    saved = json.loads(path.read_text(encoding='utf-8'))
    assert ('halfpoint-phone', 'mossgate', 'mill', 5) == (
        saved['format'], saved['tasting'], saved['site'], saved['seat'],
    )  # fmt: skip
    assert {'device', 'app', 'entries'} <= saved.keys()
    assert 5 == len([mark for mark in saved['entries'][0]['marks'].values() if mark is not None])


@pytest.mark.parametrize('name', ["Nothing here", "é<script>"])
def test_a_wrong_code_is_answered_in_words(served, phone, name) -> None:
    """A code that opens nothing says so and what to do."""
    page = phone().page
    page.goto(served.url)
    page.get_by_label("Code of the table").fill(name)
    page.get_by_role('button', name="Find my table").click()
    expect(page.get_by_role('alert')).to_contain_text("code")


def test_a_letter_is_asked_for_and_taken_back(served, phone) -> None:
    """No letter unless ticked; kept over a reload, told without a network, and taken back."""
    mine = phone()
    page = mine.join(served, 6)
    page.get_by_role('link', name='all pours').click()
    box = page.get_by_role('checkbox', name="Write me a letter")
    expect(box).not_to_be_checked()
    box.check()
    expect(page.get_by_text("You will get a letter.")).to_be_visible()
    page.reload()
    expect(box).to_be_checked()
    mine.offline()
    box.click()
    expect(page.get_by_role('alert')).to_be_visible()
    expect(box).to_be_checked()
    mine.offline(False)
    box.uncheck()
    expect(page.get_by_text("You will get no letter.")).to_be_visible()
    said = [body for body in served.records('consent') if 'mill-seat-6' == body['taster']]
    assert [True, False] == [body['letter'] for body in said]
