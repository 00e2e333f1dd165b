"""Every paper, whatever the tasting is like."""

from __future__ import annotations

import re
from contextlib import closing
from typing import Any

import pypdfium2
import pytest
from tests.publish.handouts.sample import KIND, pages, planned, printed, tasting, whole

from halfpoint.errors import InputError
from halfpoint.publish.handouts.kinds import SITE_KINDS, Kind
from halfpoint.publish.handouts.shopping_list import shopping_list
from halfpoint.publish.handouts.typeset import INVENTED, typeset
from halfpoint.tasting.model import Site, Taster, Wine

ALL = pytest.mark.parametrize('kind', SITE_KINDS, ids=lambda kind: kind.name)
HOSTILE = ('#panic("x")', '*_$ = @a <b> `c` \\u{41} // /*', 'Ana \u202egnol', 'W' * 200)


@ALL
@pytest.mark.parametrize(
    'of', [{'wines': 2, 'seats': 1}, {'wines': 15, 'seats': 40, 'second_pours': 2},
           {'wines': 30, 'seats': 3, 'capacity': 60, 'table_seats': 2}],
    ids=['least', 'large', 'long'],
)  # fmt: skip
@pytest.mark.parametrize(('paper', 'size'), [('a4', (595, 842)), ('us-letter', (612, 792))])
def test_any_size_on_both_papers(
    kind: Kind, of: dict[str, Any], paper: str, size: tuple[int, int]
) -> None:
    """A4 is 210 × 297 mm (ISO 216), Letter 8½ × 11 inches (ANSI/ASME Y14.1); nothing sticks out."""
    evening = planned(tasting(**of))[1][0]
    with closing(pypdfium2.PdfDocument(printed(kind, evening, paper))) as document:
        for page in document:
            assert size == tuple(round(length) for length in page.get_size())
            for thing in page.get_objects():
                left, bottom, right, top = thing.get_bounds()
                assert -1 <= left
                assert right <= size[0] + 1
                assert -1 <= bottom
                assert top <= size[1] + 1


@ALL
def test_every_page_says_when_a_tasting_is_invented(kind: Kind) -> None:
    """The label stands on every page, and on none of a real tasting."""
    evening = planned(tasting(seats=20))[1][0]
    assert all(INVENTED in page for page in pages(printed(kind, evening)))
    assert INVENTED not in whole(printed(kind, evening, invented=False))


def hostile() -> dict[str, Any]:
    """Names of sites, hosts and tasters that look like markup, turn the line, or are long."""
    sites = [Site(key=name, name=name, host=name, place=name) for name in HOSTILE]
    tasters = [Taster(key=f't{i}', name=name, site=HOSTILE[0]) for i, name in enumerate(HOSTILE)]
    return {'sites': sites, 'tasters': tasters}


@ALL
def test_names_are_never_read_as_markup(kind: Kind) -> None:
    """Names that look like markup or code print as they stand; what turns the line is left out."""
    evenings = planned(tasting(seats=5, **hostile()))[1]
    texts = [whole(printed(kind, evening)) for evening in evenings]
    for name, text in zip(HOSTILE[:2], texts[:2], strict=True):
        assert name in text
    assert 'Ana gnol' in texts[2]


def test_wines_with_hostile_names_print() -> None:
    """The papers that name wines print any name in full, 200 letters included."""
    one = tasting(wines=4)
    wines = tuple(
        Wine(key=f'w{place}', name=name, price=place, vintage=2020)
        for place, name in enumerate(HOSTILE)
    )
    one = one.model_copy(update={'wines': wines})
    plan, evenings = planned(one)
    shopping = {'site': "All", 'short': "All"} | shopping_list(one, plan, evenings)
    frame = {'paper': 'a4', 'title': 'x', 'invented': True, 'parts': [shopping]}
    for pdf in (
        printed(KIND['cellar-key'], evenings[0]),
        printed(KIND['cellar-list'], evenings[0]),
        typeset('shopping_list', frame),
    ):
        text = whole(pdf)
        assert HOSTILE[0] in text
        assert HOSTILE[1].replace(' ', '') in text.replace(' ', '')
        assert 200 <= len(re.sub(r'[^W]', '', text))
        assert 'Ana gnol' in text


@ALL
def test_letters_that_no_typeface_has_are_refused(kind: Kind) -> None:
    """With the shipped typeface alone, a name in another script stops the paper."""
    site = Site(key='north', name="甲府", host="甲府", place="甲府")
    evening = planned(tasting(sites=[site]))[1][0]
    with pytest.raises(InputError, match='甲府'):
        printed(kind, evening)


@ALL
def test_the_same_plan_gives_the_same_bytes(kind: Kind) -> None:
    """Nothing on a paper depends on the clock or on chance."""
    evening = planned(tasting())[1][0]
    assert printed(kind, evening) == printed(kind, evening)


def test_seat_labels_have_codes_in_the_order_of_pouring() -> None:
    """Each seat has a label with its taster and its codes, first to last."""
    tasters = [Taster(key='t1', name="Jo Tarn", site='north'), Taster(key='t2', site='north')]
    evening = planned(tasting(wines=8, seats=3, flight=4, tasters=tasters))[1][0]
    labels = KIND['seat-labels'].compose(evening)['labels']
    assert ['Jo Tarn', 't2', ''] == [label['taster'] for label in labels]
    for seat, label in enumerate(labels, start=1):
        codes = [code['code'] for flight in label['flights'] for code in flight['codes']]
        assert [pour.code for pour in evening.by_seat[seat]] == codes
    assert "Jo Tarn" in whole(printed(KIND['seat-labels'], evening))


def test_a_tag_for_every_bottle_and_spare() -> None:
    """40 pours of a wine take 3 bottles of 14 pours and a spare: four tags."""
    evening = planned(tasting(wines=3, seats=40))[1][0]
    tags = KIND['bag-tags'].compose(evening)['tags']
    expected = ['bottle 1 of 3', 'bottle 2 of 3', 'bottle 3 of 3', 'spare']
    assert expected == [tag['bottle'] for tag in tags if tag['bag'] == 'A']
    assert 3 * 4 == len(tags)


def test_the_run_sheet_says_how_much_alcohol_and_how_to_take_care() -> None:
    """Six pours of 50 ml at 12.5 % are 29.6 g by ml × % × 0.789 (OIML R 22); cautions follow."""
    evening = planned(tasting(wines=6))[1][0]
    text = whole(printed(KIND['run-sheet'], evening))
    grams = 6 * 50 * 0.125 * 0.789
    assert f"about {grams:.0f} g of alcohol" in text
    assert f"{grams / 10:.1f} standard drinks of 10 g, or {grams / 14:.1f} of 14 g" in text
    for word in ("spit", "Water", "food", "drives", "legal age", "pregnant", "llerg", "law"):
        assert word in text


def test_the_run_sheet_has_the_evening_by_the_clock() -> None:
    """Two flights of three from seven, with the break between, end at 19:51."""
    evening = planned(tasting(wines=6, flight=3))[1][0]
    text = whole(printed(KIND['run-sheet'], evening))
    for line in ("19:00 Flight 1: pours 1 to 3", "19:18 Break", "19:33 Flight 2: pours 4 to 6",
                 "19:51 Collect the sheets"):  # fmt: skip
        assert line in text
