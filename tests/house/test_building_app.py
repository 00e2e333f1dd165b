"""The browser app is built when its sources have changed, and not otherwise."""

from __future__ import annotations

import json
import re
import subprocess
from pathlib import Path

import pytest
from repository import ROOT, kept_files, text_of

import build_app


@pytest.fixture
def sources(tmp_path: Path) -> Path:
    """A folder with sources of an app, and one that was built from them."""
    (tmp_path / 'web/src').mkdir(parents=True)
    (tmp_path / 'web/src/main.ts').write_text('1', encoding='utf-8')
    app = tmp_path / build_app.APP
    app.mkdir(parents=True)
    (app / 'index.html').write_text('<p>', encoding='utf-8')
    stamp = build_app.sources_digest(tmp_path)
    (app / build_app.STAMP).write_text(stamp, encoding='utf-8')
    return tmp_path


def test_an_app_of_the_same_sources_is_left_alone(sources: Path) -> None:
    """Nothing is built, and no Node is needed, when the sources are as they were."""
    (sources / 'web/node_modules').mkdir()
    (sources / 'web/node_modules/part.js').write_text('2', encoding='utf-8')
    assert not build_app.build_app(sources)


@pytest.mark.parametrize('name', ['main.ts', 'other.ts'])
def test_changed_sources_are_noticed(sources: Path, name: str) -> None:
    """A source that is new or different makes the built app old."""
    (sources / 'web/src' / name).write_text('3', encoding='utf-8')
    assert not build_app.is_fresh(sources)


def test_without_node_it_says_what_to_do(sources: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without a Node that is new enough the message names it and the next step."""
    (sources / 'web/src/main.ts').write_text('3', encoding='utf-8')
    (sources / 'web/package-lock.json').write_text('{}', encoding='utf-8')
    monkeypatch.setenv('PATH', '')
    monkeypatch.setattr(build_app, '_node_of_the_package', lambda: None)
    with pytest.raises(build_app.AppNotBuilt, match=r"needs Node 20\.19 or later") as refusal:
        build_app.build_app(sources)
    assert "python tools/build_app.py" in str(refusal.value)


def test_an_npm_that_fails_is_quoted(sources: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What npm said is shown, with what to do."""
    (sources / 'web/src/main.ts').write_text('3', encoding='utf-8')
    (sources / 'web/package-lock.json').write_text('{}', encoding='utf-8')
    monkeypatch.setattr(build_app, 'find_node', lambda: build_app.Node(('sh', '-c'), '/bin'))
    monkeypatch.setattr(
        build_app.subprocess,
        'run',
        lambda *_, **__: subprocess.CompletedProcess([], 1, '', 'no route to the registry'),
    )
    with pytest.raises(build_app.AppNotBuilt, match=r"no route to the registry\nwhat to do"):
        build_app.build_app(sources)


def test_the_lock_file_names_no_address() -> None:
    """Parts of the app are pinned by name, version and hash, and nothing else."""
    lock = json.loads((ROOT / 'web/package-lock.json').read_text(encoding='utf-8'))
    parts = {name: part for name, part in lock['packages'].items() if name}
    assert [] == [name for name, part in parts.items() if 'integrity' not in part]
    assert [] == re.findall(r'https?://', json.dumps(lock))


def test_the_app_asks_nobody_but_its_server() -> None:
    """No source of the app names an address elsewhere."""
    kinds = {'.ts', '.svelte', '.css', '.html'}
    web = [path for path in kept_files() if ROOT / 'web/src' in path.parents]
    texts = {path.name: text_of(path) or '' for path in web if path.suffix in kinds}
    assert [] == [name for name, text in texts.items() if re.search(r'https?://(?!127\.)', text)]
