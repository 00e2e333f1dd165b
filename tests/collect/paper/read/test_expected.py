"""Which page a number of 24 digits is: exactly one that the plan prints, or a stranger."""

from __future__ import annotations

from functools import cache

from hypothesis import given
from hypothesis import strategies as st
from tests.collect.paper.print.made import invented

from halfpoint.collect.paper.print import form_of, lay_out, seat_pages, spare_pages
from halfpoint.collect.paper.print.damm import check_digit
from halfpoint.collect.paper.print.pages import Page
from halfpoint.collect.paper.read.expected import PlannedPage, PlannedPages
from halfpoint.collect.paper.read.model import HeldPage
from halfpoint.plan.make import make_plan
from halfpoint.sheet.load import load_sheet
from halfpoint.tasting.model import Taster, Tasting

DIGITS = '0123456789'
WINES = (3, 4, 5)


@cache
def tasting() -> Tasting:
    """Six wines for the one listed taster of a site and three seats of another."""
    ada = Taster(key='ada', name="Ada", site='north')
    return invented(seats=3).model_copy(update={'tasters': (ada,)})


@cache
def planned() -> PlannedPages:
    """The pages of its plan."""
    return PlannedPages(tasting(), make_plan(tasting(), seed=1))


@cache
def printed(wines: int, seed: int = 1) -> tuple[Page, ...]:
    """What the press would print of a plan, and two spares of each site."""
    plan = make_plan(tasting(), seed=seed)
    form = form_of(lay_out(tasting().sheet, wines))
    own = [
        page
        for site in ('north', 'south')
        for page in seat_pages(tasting(), plan, site, wines_a_page=wines, form=form)
    ]
    spare = [
        page
        for site in ('north', 'south')
        for page in spare_pages(tasting(), plan, site, 2, wines_a_page=wines, form=form)
    ]
    return (*own, *spare)


def every() -> list[Page]:
    """All pages in all prints."""
    return [page for wines in WINES for page in printed(wines)]


PAYLOADS = st.sampled_from([page.identity.payload for page in every()])


def is_stranger(found: PlannedPage | HeldPage) -> bool:
    """Whether a number was refused as none of this plan."""
    return isinstance(found, HeldPage) and found.reason == 'stranger'


def test_every_printed_page_is_found_with_its_seat_and_codes() -> None:
    """Site, seat, page, form and codes in serving order are those that were printed."""
    for page in every():
        found = planned().find(page.identity.payload)
        assert isinstance(found, PlannedPage)
        said = page.identity
        assert (said.payload, said.site, said.number, said.page) == (
            found.payload, found.site, found.number, found.sheet,
        )  # fmt: skip
        assert said.wines_a_page == found.layout.wines_a_page
        assert page.is_spare is found.is_spare
        assert (None if page.is_spare else said.number) == found.seat
        assert [glass.code for glass in page.glasses] == [glass.code for glass in found.glasses]


def test_positions_go_on_from_page_to_page() -> None:
    """At four a page the second sheet of a seat begins with the fifth pour; spares have none."""
    pages = [planned().find(page.identity.payload) for page in printed(4)]
    second = [page for page in pages if isinstance(page, PlannedPage) and page.sheet == 2]
    assert 4 == len(second)
    assert {(5, 6)} == {tuple(glass.position for glass in page.glasses) for page in second}
    spares = [page for page in pages if isinstance(page, PlannedPage) and page.is_spare]
    assert {(None,) * 4} == {tuple(glass.position for glass in page.glasses) for page in spares}


def test_a_listed_taster_keeps_the_key_and_others_are_called_by_their_seat() -> None:
    """Nobody sits on a spare."""
    pages = [planned().find(page.identity.payload) for page in printed(4)]
    names = {(page.site, page.seat): page.taster for page in pages if isinstance(page, PlannedPage)}
    assert 'ada' in {name for (site, _), name in names.items() if site == 'north'}
    assert 'south-seat-2' == names['south', 2]
    assert '' == names['north', None]


@given(PAYLOADS, st.integers(0, 23), st.integers(1, 9))
def test_a_page_with_one_other_digit_is_a_stranger(payload: str, at: int, added: int) -> None:
    """Whichever digit is misread, no page is found."""
    wrong = payload[:at] + str((int(payload[at]) + added) % 10) + payload[at + 1 :]
    assert is_stranger(planned().find(wrong))


@given(PAYLOADS, st.integers(0, 22), st.integers(1, 9))
def test_a_digit_changed_with_its_check_digit_is_a_stranger(
    payload: str, at: int, added: int
) -> None:
    """Even a number that is sound by its last digit must be one that was printed."""
    first = payload[:at] + str((int(payload[at]) + added) % 10) + payload[at + 1 : 23]
    assert is_stranger(planned().find(first + check_digit(first)))


@given(st.text(DIGITS, min_size=24, max_size=24), st.booleans())
def test_random_digits_are_strangers(digits: str, sound: bool) -> None:
    """Any 24 digits, also with a right last one, find nothing."""
    payload = digits[:23] + check_digit(digits[:23]) if sound else digits
    assert is_stranger(planned().find(payload))


@given(
    kind=st.sampled_from('012'), wines=st.integers(0, 9), site=st.integers(0, 3),
    number=st.integers(0, 5), page=st.integers(0, 4), check=PAYLOADS,
)  # fmt: skip
def test_parts_of_printed_pages_put_together_find_only_what_was_printed(
    kind: str, wines: int, site: int, number: int, page: int, check: str
) -> None:
    """A number of likely parts with the check of another page is that page or none."""
    first = f'{kind}{wines}{check[2:7]}{site:04}{number:04}{page:02}{check[17:23]}'
    payload = first + check_digit(first)
    found = planned().find(payload)
    if payload in {each.identity.payload for each in every()}:
        assert isinstance(found, PlannedPage)
        assert payload == found.payload
    else:
        assert is_stranger(found)


@given(st.one_of(st.text(max_size=30), st.text(DIGITS, max_size=40)))
def test_any_other_text_is_a_stranger(text: str) -> None:
    """What some other code says never raises and never finds a page."""
    assert text in {each.identity.payload for each in every()} or is_stranger(planned().find(text))


def test_last_years_pages_are_strangers() -> None:
    """A tasting of another key shares no page with this one, and the reason says so."""
    last = PlannedPages(
        tasting().model_copy(update={'key': 'spring-last-year'}), make_plan(tasting(), seed=1)
    )
    found = [last.find(page.identity.payload) for page in every()]
    assert all(is_stranger(each) for each in found)
    assert all(isinstance(each, HeldPage) and "another tasting" in each.found for each in found)


def test_pages_of_another_plan_are_strangers() -> None:
    """Seats with other codes are not mistaken; spares carry no code and stay good."""
    for page in printed(4, seed=2):
        assert page.is_spare is not is_stranger(planned().find(page.identity.payload))


def test_pages_on_another_form_are_strangers() -> None:
    """The same plan with another score sheet prints other numbers."""
    other = tasting().model_copy(update={'sheet': load_sheet('liking')})
    pages = PlannedPages(other, make_plan(tasting(), seed=1))
    assert all(is_stranger(pages.find(page.identity.payload)) for page in every())


def test_pages_of_sites_that_changed_places_are_strangers() -> None:
    """When the sites of the file are turned round, no page is given to the wrong one."""
    turned = tasting().model_copy(update={'sites': tasting().sites[::-1]})
    pages = PlannedPages(turned, make_plan(tasting(), seed=1))
    assert all(is_stranger(pages.find(page.identity.payload)) for page in every())


def test_a_stranger_is_told_with_its_number_and_what_to_do() -> None:
    """The refusal quotes the digits that were found."""
    found = planned().find('1' * 24)
    assert isinstance(found, HeldPage)
    assert '1' * 24 in found.found
    assert found.expected
    assert found.remedy


def test_a_number_of_wines_that_no_form_has_is_no_layout() -> None:
    """Layouts exist for three to five wines a page and for no other."""
    assert [3, 4, 5] == [wines for wines in range(10) if planned().layout(wines) is not None]
