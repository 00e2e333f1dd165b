"""The guide in a real browser: read by everybody, offline too, and on paper."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from .conftest import look_over, picture


@pytest.mark.parametrize(('width', 'height'), [(360, 760), (768, 1024), (1440, 900)])
def test_the_guide_is_for_everybody(served, phone, width, height) -> None:
    """axe-core finds nothing in light and in dark, and no page is wider than its screen."""
    page, found = phone(width, height).page, []
    page.goto(f'{served.url}/guide')
    page.get_by_role('heading', name="How to taste").wait_for()
    expect(page.get_by_role('heading', name="Aroma", exact=True)).to_be_visible()
    if width == 360:
        found = look_over(page, 'guide')
    for theme in ('light', 'dark'):
        page.emulate_media(color_scheme=theme)
        picture(page, f'guide-{width}-{theme}', full=True)
    assert [] == found
    assert page.evaluate('() => document.documentElement.scrollWidth <= innerWidth')


def test_the_guide_opens_without_a_network(served, phone) -> None:
    """Once the app is there, the guide is too; from the page to join, and from a sheet."""
    mine = phone(service_workers='allow')
    page = mine.page
    page.goto(served.url)
    page.evaluate("() => navigator.serviceWorker.ready.then(() => null)")
    page.reload()
    mine.offline()
    page.get_by_role('link', name="How to taste").click()
    expect(page.get_by_role('heading', name="Before you start")).to_be_visible()
    page.reload()
    expect(page.get_by_text("Swirl the glass, put your nose in")).to_be_visible()
    page.get_by_role('button', name="Back").click()
    expect(page.get_by_label("Code of the table")).to_be_visible()


def test_the_guidance_of_a_category_leads_to_the_guide(served, phone) -> None:
    """From a pour to the guide and back, with the mark still there; in German where wanted."""
    mine = phone(locale='de-DE')
    page = mine.page
    page.goto(f'{served.url}/guide')
    expect(page.get_by_role('heading', name="Wie man verkostet")).to_be_visible()
    expect(page.get_by_text("bisher nur auf Englisch")).to_be_visible()
    mine = phone()
    page = mine.join(served, 4)
    mine.mark('Aroma', 5, 6)
    page.get_by_role('button', name="what to look for: Aroma").click()
    page.get_by_role('link', name="How to taste").click()
    page.get_by_role('heading', name="Finding the word").wait_for()
    page.get_by_role('button', name="Back").click()
    expect(page.get_by_role('slider', name='Aroma', exact=True)).to_have_attribute(
        'aria-valuetext', "five of six"
    )


def test_the_guide_prints_without_buttons(served, phone, tmp_path) -> None:
    """On paper stands the guide alone."""
    page = phone(1024, 800).page
    page.goto(f'{served.url}/guide')
    page.get_by_role('heading', name="How to taste").wait_for()
    page.emulate_media(media='print')
    expect(page.get_by_role('button', name="Back")).to_be_hidden()
    pdf = page.pdf(format='A4', path=tmp_path / 'guide.pdf')
    assert pdf.startswith(b'%PDF')
