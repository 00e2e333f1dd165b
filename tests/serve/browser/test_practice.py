"""Practice in the app: at home, without an account and without a network."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

import learned
from halfpoint.sheet.form import Sheet
from halfpoint.sheet.load import load_sheet
from halfpoint.teach.diary import read_diary
from halfpoint.teach.feedback import feed_back
from halfpoint.teach.practice_set import PracticeSet, write_set
from halfpoint.teach.progress import follow
from halfpoint.teach.reference import TOTAL, Reference

from .conftest import Phone, Served, look_over, picture

REFERENCE = learned.Learner(3).reference('Harrow League, whites (invented)', 6)
MARKS = (
    (3.0, 4.5, 3.0, 2.0, 1.5), (3.0, 3.5, 3.0, 1.5, 1.0), (2.5, 2.0, 2.0, 1.0, 0.5),
    (3.0, 5.0, 4.5, 2.0, 1.5),
)  # fmt: skip
SCREENS = ((360, 760), (768, 1024), (1440, 900))


def _set(folder: Path, sheet: Sheet = learned.SHEET, reference: Reference = REFERENCE) -> Path:
    path = folder / 'set.json'
    write_set(path, PracticeSet(sheet, reference))
    return path


def _open(page: Page, path: Path) -> None:
    page.get_by_role('button', name="Open a file").wait_for()
    page.set_input_files('input[type=file]', path)


def _begin(mine: Phone, served: Served, path: Path) -> Page:
    """From nothing to the first wine of a set."""
    page = mine.page
    page.goto(f'{served.url}/practice')
    _open(page, path)
    page.get_by_role('link', name="Mark a wine").click()
    page.get_by_role('button', name="Go on").click()
    page.get_by_role('slider').first.wait_for()
    return page


def _give(mine: Phone, marks: tuple[float, ...]) -> None:
    for category, given in zip(learned.SHEET.categories, marks, strict=True):
        mine.mark(category.label, given, category.top)


def _mark(mine: Phone, wine: str, marks: tuple[float, ...], keep: str = "Keep and compare") -> None:
    """A whole wine, named at the end."""
    page = mine.page
    page.get_by_role('slider').first.wait_for()
    _give(mine, marks)
    page.get_by_label("Which wine was it?").select_option(wine)
    page.get_by_role('button', name=keep).click()


def _saved(page: Page, folder: Path) -> Path:
    with page.expect_download() as told:
        page.get_by_role('button', name="Save to a file").click()
    path = folder / 'saved.practice'
    told.value.save_as(path)
    return path


def test_a_whole_practice_without_a_network(served, phone, tmp_path) -> None:
    """Loaded once: then offline three wines are marked, compared, kept over reloads, and saved."""
    mine = phone(service_workers='allow')
    page = mine.page
    page.goto(f'{served.url}/practice')
    page.evaluate("() => navigator.serviceWorker.ready.then(() => null)")
    page.reload()
    page.get_by_role('heading', name="Practise at home").wait_for()
    mine.offline()
    page = _begin(mine, served, _set(tmp_path))
    for number, wine in enumerate(REFERENCE.wines[:3]):
        _mark(mine, wine, MARKS[number])
        page.get_by_role('heading', name=wine, exact=True).wait_for()
        total = f"{sum(MARKS[number]):g}".replace('.5', '½')
        expect(page.get_by_text(f"You gave {total}; the panel")).to_be_visible()
        if number == 1:
            page.reload()
            expect(page.get_by_text(f"You gave {total}; the panel")).to_be_visible()
        page.get_by_role('link', name="Next wine").click()
    page.goto(f'{served.url}/practice')
    expect(page.get_by_text("Between two wines you put")).to_be_visible()
    expect(page.get_by_role('heading', name="To practise next")).to_be_visible()
    page.close()
    page = mine.page = mine.context.new_page()
    page.goto(f'{served.url}/practice?view=progress')
    expect(page.get_by_text("3 wines · ")).to_be_visible()
    page.get_by_role('link', name="Back to practice").click()
    saved = _saved(page, tmp_path)
    diary = read_diary(saved)
    assert (learned.SHEET, ()) == (diary.sheet, diary.unread)
    assert list(REFERENCE.wines[:3]) == [one.entry.wine for one in diary.stages[0].marked]
    assert [sum(marks) for marks in MARKS[:3]] == [
        one.entry.total for one in diary.stages[0].marked
    ]


def test_the_page_says_what_the_command_line_says(served, phone, tmp_path) -> None:
    """Of the same file: where the learner stands, and what drives the gap of a wine."""
    mine = phone()
    page = _begin(mine, served, _set(tmp_path))
    for number, wine in enumerate(REFERENCE.wines[:3]):
        _mark(mine, wine, MARKS[number])
        page.get_by_role('link', name="Next wine").click()
    _mark(mine, REFERENCE.wines[3], MARKS[3])
    expect(page.locator('main')).to_contain_text("After 2 more wines")
    page.get_by_role('link', name="Back to practice").click()
    diary = read_diary(_saved(page, tmp_path))
    found = follow(diary).now[TOTAL]
    expect(page.locator('main')).to_contain_text(
        f"Between two wines you put {found.spread.value:.1f} times the panel’s difference"
    )
    expect(page.locator('main')).to_contain_text(
        f"A mark of yours varies by about {found.noise.value:.1f} points "
        f"({found.noise.low:.1f} to {found.noise.high:.1f})"
    )
    (first, *_) = diary.stages[0].marked
    told = feed_back(first.entry, diary.sheet, diary.reference)
    assert told.driver is not None
    page.get_by_role('link', name=REFERENCE.wines[0]).click()
    expect(page.get_by_text(f"Most of it is {told.driver.label.lower()}")).to_be_visible()


def test_a_file_of_the_command_line_goes_on_in_the_app(served, phone, tmp_path) -> None:
    """A practice of two years is opened, shown over its sessions, and saved line for line."""
    written = tmp_path / 'years.practice'
    text = next(each['text'] for each in _kept() if each['name'] == 'years')
    written.write_text(text, encoding='utf-8')
    page = phone().page
    page.goto(f'{served.url}/practice')
    _open(page, written)
    page.get_by_role('link', name="Progress over sessions").click()
    expect(page.locator('.course li')).to_have_count(4)
    page.get_by_label("What").select_option(label="agreement with the panel")
    expect(page.locator('.course li').first).to_contain_text("(")
    page.get_by_role('link', name="Back to practice").click()
    expect(page.get_by_text("one and other, every triangle round so far:")).to_be_visible()
    assert text == _saved(page, tmp_path).read_text(encoding='utf-8')
    # Opened again, nothing is counted twice.
    _open(page, written)
    expect(page.get_by_text("nothing is new")).to_be_visible()
    assert text == _saved(page, tmp_path).read_text(encoding='utf-8')


def _kept():
    return json.loads(learned.FIGURES.read_text(encoding='utf-8'))['practices']


@pytest.mark.parametrize(
    ('content', 'said'),
    [
        ('', "There is nothing in this file."),
        ('Dear all,', "no practice file and no set"),
        ('{"wines": [], "categories": {}}', "Ask the organiser for the practice set"),
        ('{"kind": "practice_set", "form": 1, "sheet": {}}', "This set is not whole"),
    ],
)
def test_files_of_no_use_are_told_in_words(served, phone, tmp_path, content, said) -> None:
    """What it is, and what to do; nothing is begun."""
    path = tmp_path / 'some.json'
    path.write_text(content, encoding='utf-8')
    page = phone().page
    page.goto(f'{served.url}/practice')
    _open(page, path)
    expect(page.get_by_text(said)).to_be_visible()
    expect(page.get_by_role('heading', name="Practise at home")).to_be_visible()


def test_a_wine_without_a_reference_and_equal_marks_say_nothing_wrong(
    served, phone, tmp_path
) -> None:
    """A wine that the panel did not have is kept; marks always alike tell of no habit."""
    mine = phone()
    page = _begin(mine, served, _set(tmp_path))
    _give(mine, MARKS[0])
    page.get_by_label("Which wine was it?").select_option("another wine")
    page.get_by_label("Its name").fill("Cellar find")
    page.get_by_role('button', name="Keep and compare").click()
    expect(page.get_by_text("did not have this wine, so nothing is said")).to_be_visible()
    for wine in REFERENCE.wines[:3]:
        page.get_by_role('link', name="Next wine").click()
        _mark(mine, wine, MARKS[1])
        page.get_by_role('heading', name=wine, exact=True).wait_for()
    page.get_by_role('link', name="Back to practice").click()
    expect(page.get_by_text("Every total of the last session is the same")).to_be_visible()
    expect(page.get_by_text("Between two wines")).to_have_count(0)


def test_a_set_on_another_sheet_is_a_practice_of_its_own(served, phone, tmp_path) -> None:
    """Nothing is compared across sheets; both practices can be gone back to."""
    mine = phone()
    page = mine.page
    page.goto(f'{served.url}/practice')
    page.get_by_role('button', name="Begin with own bottles").click()
    expect(page.get_by_text("There is no panel to compare with in this practice.")).to_be_visible()
    other = load_sheet('liking')
    marks = {TOTAL: REFERENCE.marks[TOTAL]}
    reference = Reference('Liked', True, 9, REFERENCE.wines, marks, REFERENCE.priors, {})
    _open(page, _set(tmp_path, other, reference))
    expect(
        page.get_by_text("on another score sheet, so it is a practice of its own")
    ).to_be_visible()
    expect(page.get_by_role('heading', name="Liked")).to_be_visible()
    page.get_by_label("Practices on this device").select_option(index=0)
    expect(page.get_by_label("Practices on this device").locator('option')).to_have_count(2)


def test_marks_are_mended_by_a_new_line(served, phone, tmp_path) -> None:
    """The mended marks count, the first stay in the file, and the command line reads it so."""
    mine = phone()
    page = _begin(mine, served, _set(tmp_path))
    _mark(mine, REFERENCE.wines[0], MARKS[0])
    page.get_by_role('button', name="Mend these marks").click()
    mine.mark('Taste', 5.0, 6.0)
    page.get_by_role('button', name="Keep and compare").click()
    expect(page.get_by_text("You gave 16;")).to_be_visible()
    page.get_by_role('link', name="Back to practice").click()
    diary = read_diary(_saved(page, tmp_path))
    assert [14.0, 16.0] == [one.entry.total for one in diary.stages[0].marked]
    assert [16.0] == [one.total for one in follow(diary).sessions[0].entries]


def test_a_triangle_is_poured_answered_and_judged(served, phone, tmp_path) -> None:
    """Who tastes never sees what is in the glasses; the right answers are kept."""
    mine = phone()
    page = mine.page
    page.goto(f'{served.url}/practice')
    page.get_by_role('button', name="Begin with own bottles").click()
    page.get_by_role('link', name="Draw a drill").click()
    page.get_by_role('button', name="Go on").click()
    page.get_by_role('spinbutton').fill('5')
    expect(page.get_by_text("4 right of 5, or more")).to_be_visible()
    page.get_by_label("Which two wines?").fill("Hay and Flint")
    page.get_by_role('button', name="Draw it").click()
    page.get_by_role('button', name="I am pouring: show me").click()
    glasses = [
        [glass.inner_text().split() for glass in row.locator('.glass').all()]
        for row in page.locator('main li').all()
    ]
    page.get_by_role('button', name="All noted: hide it").click()
    expect(page.locator('.glass')).to_have_count(0)
    page.reload()
    expect(page.get_by_role('heading', name="For whoever tastes")).to_be_visible()
    expect(page.locator('.glass')).to_have_count(0)
    for row in glasses:
        contents = [wine for _, wine in row]
        odd = next(code for code, wine in row if contents.count(wine) == 1)
        page.get_by_role('radio', name=odd).check()
    page.get_by_role('button', name="Say how it went").click()
    expect(page.get_by_text("5 of 5 right, and 4 are enough")).to_be_visible()
    expect(page.get_by_text("0.412 times in 100")).to_be_visible()
    page.get_by_role('link', name="Back to practice").click()
    (drilled,) = read_diary(_saved(page, tmp_path)).drilled
    assert ('triangle', 5, 5, 'Hay and Flint') == (
        drilled.test, drilled.answers, drilled.right, drilled.pair,
    )  # fmt: skip


def test_everything_works_by_keyboard(served, phone, tmp_path) -> None:
    """A wine is marked, named and kept without a pointer; what is missing is gone to."""
    mine = phone()
    page = _begin(mine, served, _set(tmp_path))
    page.get_by_role('button', name="Keep and compare").press('Enter')
    expect(page.get_by_role('slider', name='Appearance', exact=True)).to_be_focused()
    for category in learned.SHEET.categories:
        page.get_by_role('slider', name=category.label, exact=True).focus()
        page.keyboard.press('End')
    page.get_by_role('button', name="Keep and compare").press('Enter')
    choose = page.get_by_label("Which wine was it?")
    expect(choose).to_be_focused()
    page.keyboard.press('ArrowDown')
    expect(page.locator('footer')).to_contain_text("kept on this device")
    page.get_by_role('button', name="Keep and compare").press('Enter')
    expect(page.get_by_text("You gave 20; the panel")).to_be_visible()


@pytest.mark.parametrize(('width', 'height'), SCREENS)
def test_pages_are_for_everybody(served, phone, tmp_path, width, height) -> None:
    """axe-core finds nothing in light and in dark, and no page is wider than its screen."""
    mine = phone(width, height)
    page, found = mine.page, []

    def look(name: str) -> None:
        if width == 360:
            found.extend(look_over(page, name))
        for theme in ('light', 'dark'):
            page.emulate_media(color_scheme=theme)
            picture(page, f'practice-{name}-{width}-{theme}', full=True)
        page.emulate_media(color_scheme='light')
        assert page.evaluate('() => document.documentElement.scrollWidth <= innerWidth'), name

    page.goto(f'{served.url}/practice')
    page.get_by_role('button', name="Open a file").wait_for()
    look('start')
    page.set_input_files('input[type=file]', _set(tmp_path))
    page.get_by_role('link', name="Mark a wine").click()
    page.get_by_role('button', name="Go on").wait_for()
    look('cautions')
    page.get_by_role('button', name="Go on").click()
    for number, wine in enumerate(REFERENCE.wines[:4]):
        page.get_by_role('slider').first.wait_for()
        if not number:
            look('mark')
        _mark(mine, wine, MARKS[number])
        page.get_by_role('heading', name=wine, exact=True).wait_for()
        if not number:
            look('wine')
        page.get_by_role('link', name="Next wine").click()
    written = tmp_path / 'years.practice'
    written.write_text(next(e['text'] for e in _kept() if e['name'] == 'years'), encoding='utf-8')
    page.goto(f'{served.url}/practice')
    page.get_by_role('heading', name="Where you stand").wait_for()
    look('home')
    _open(page, written)
    page.get_by_role('link', name="Progress over sessions").click()
    page.locator('.course').wait_for()
    look('progress')
    page.goto(f'{served.url}/practice?view=drill')
    page.get_by_role('button', name="Draw it").wait_for()
    look('draw')
    page.get_by_role('button', name="Draw it").click()
    page.get_by_role('button', name="I am pouring: show me").click()
    look('pourer')
    page.get_by_role('button', name="All noted: hide it").click()
    page.get_by_role('heading', name="For whoever tastes").wait_for()
    for row in page.locator('fieldset').all():
        row.get_by_role('radio').first.check()
    look('taster')
    page.get_by_role('button', name="Say how it went").click()
    page.get_by_role('heading', name="What the answers say").wait_for()
    look('judged')
    assert [] == found


def test_the_other_language_is_whole(served, phone, tmp_path) -> None:
    """In German from the first page to the feedback, numbers with a comma."""
    mine = phone(locale='de-DE')
    page = mine.page
    page.goto(f'{served.url}/practice')
    page.get_by_role('heading', name="Zu Hause üben").wait_for()
    page.set_input_files('input[type=file]', _set(tmp_path))
    page.get_by_role('link', name="Einen Wein bewerten").click()
    page.get_by_role('button', name="Weiter").click()
    page.get_by_role('slider').first.wait_for()
    _give(mine, MARKS[0])
    assert page.evaluate('() => document.documentElement.scrollWidth <= innerWidth')
    page.get_by_label("Welcher Wein war es?").select_option(REFERENCE.wines[0])
    page.get_by_role('button', name="Vergleichen").click()
    expect(page.get_by_text("Sie gaben 14, die Gruppe")).to_be_visible()
    expect(page.locator('main')).to_contain_text(',')
    assert page.evaluate('() => document.documentElement.scrollWidth <= innerWidth')
    picture(page, 'practice-german-360', full=True)
