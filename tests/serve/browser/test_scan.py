"""The code on a card, read by a phone's camera: Chromium with a film for a camera."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import Browser, expect, sync_playwright
from tests.serve.browser.conftest import Served, chromium

SIZE = (640, 480)


@pytest.fixture
def filmed(tmp_path: Path, served: Served) -> Path:
    """A film, one JPEG after the other, of a card a little askew on a grey table."""
    said = f'halfpoint:mossgate:mill:1:{served.code}'
    square = zxingcpp.create_barcode(said, zxingcpp.BarcodeFormat.QRCode, ec_level='M')
    card = Image.fromarray(zxingcpp.write_barcode_to_image(square, scale=7)).convert('RGB')
    table = Image.new('RGB', SIZE, (150, 145, 138))
    turned = card.rotate(8, expand=True, fillcolor=(150, 145, 138))
    table.paste(turned, ((SIZE[0] - turned.width) // 2, (SIZE[1] - turned.height) // 2))
    frame = io.BytesIO()
    table.save(frame, 'JPEG', quality=80)
    film = tmp_path / 'card.mjpeg'
    film.write_bytes(frame.getvalue() * 30)
    return film


@pytest.fixture
def with_camera(filmed: Path) -> Iterator[Browser]:
    """Chromium that takes the film for its camera, and asks nobody."""
    path = chromium()
    if path is None:
        pytest.skip("there is no Chromium: install it (on Debian the package chromium)")
    with sync_playwright() as play:
        arguments = [
            '--no-sandbox', '--use-fake-ui-for-media-stream', '--use-fake-device-for-media-stream',
            f'--use-file-for-fake-video-capture={filmed}',
        ]  # fmt: skip
        browser = play.chromium.launch(executable_path=path, args=arguments)
        yield browser
        browser.close()


@pytest.mark.parametrize('own', [True, False], ids=['as it is', 'without a reader of its own'])
def test_the_camera_reads_the_card(served, with_camera, own) -> None:
    """From "scan" to the seats of the table, with nothing typed."""
    context = with_camera.new_context(service_workers='block', permissions=['camera'])
    page = context.new_page()
    if not own:
        page.add_init_script('delete globalThis.BarcodeDetector')
    page.goto(f'{served.url}/join')
    page.get_by_role('button', name="Scan").click()
    expect(page.get_by_role('radio', name='Seat 1')).to_be_visible()
    context.close()


def test_without_a_camera_the_code_can_be_typed(served, phone) -> None:
    """Where the camera is refused the page says so, and the way back is one press."""
    page = phone().page
    page.goto(f'{served.url}/join')
    page.get_by_role('button', name="Scan").click()
    expect(page.get_by_text("The camera cannot be used here")).to_be_visible()
    page.get_by_role('button', name="Stop scanning").click()
    expect(page.locator('#code')).to_be_editable()
