"""A newer app on the server: the phone offers it, and nothing that was marked is lost."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

from playwright.sync_api import expect

import halfpoint

from .conftest import APP, ROOT, serving


def test_a_newer_app_is_offered_and_loses_nothing(phone, tmp_path, monkeypatch) -> None:
    """The old app works until the person takes the newer one; marks made offline stay and go."""
    copy = tmp_path / 'src'
    left_out = shutil.ignore_patterns('__pycache__')
    shutil.copytree(Path(halfpoint.__file__).parent, copy / 'halfpoint', ignore=left_out)
    monkeypatch.setenv('PYTHONPATH', os.pathsep.join((str(copy), os.environ.get('PYTHONPATH', ''))))
    app = copy / APP.parent.relative_to(ROOT / 'src')
    shutil.copytree(APP.parent, app, dirs_exist_ok=True)
    mine = phone(service_workers='allow')
    with serving(tmp_path) as server:
        page = mine.join(server, 1)
        page.evaluate("() => navigator.serviceWorker.ready.then(() => null)")
        page.reload()
        page.get_by_role('slider').first.wait_for()
        mine.mark('Aroma', 4.5, 6)
    for name in ('sw.js', 'index.html'):
        file = app / name
        mended = file.read_text(encoding='utf-8').replace('<head>', '<head data-new>')
        file.write_text(mended + ('\n// newer\n' if name == 'sw.js' else ''), encoding='utf-8')
    # Without a server the page opens from the phone itself.
    page.reload()
    aroma = page.get_by_role('slider', name='Aroma', exact=True)
    expect(aroma).to_have_attribute('aria-valuetext', "four and a half of six")
    with serving(tmp_path, again=server):
        page.evaluate("() => navigator.serviceWorker.ready.then((found) => found.update())")
        expect(page.get_by_text("A newer version of this page is ready.")).to_be_visible()
        mine.mark('Taste', 5, 6)
        with page.expect_navigation():
            page.get_by_role('button', name="Use it now").click()
        expect(aroma).to_have_attribute('aria-valuetext', "four and a half of six")
        taste = page.get_by_role('slider', name='Taste', exact=True)
        expect(taste).to_have_attribute('aria-valuetext', "five of six")
        expect(page.get_by_text("A newer version")).to_have_count(0)
