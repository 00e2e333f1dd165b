"""Whether the parts for paper, and those for serving, are installed."""

from __future__ import annotations

import importlib.util
from collections.abc import Mapping, Sequence

from halfpoint.errors import UsageError

# Module to import: name of the package it comes in.
PACKAGES = {
    'zxingcpp': 'zxing-cpp',
    'pypdfium2': 'pypdfium2',
    'cv2': 'opencv-python-headless',
    'PIL': 'pillow',
}
SERVING = {
    'fastapi': 'fastapi',
    'granian': 'granian',
    'sqlalchemy': 'sqlalchemy',
    'argon2': 'argon2-cffi',
    'multipart': 'python-multipart',
    'cryptography': 'cryptography',
}


def check_paper_parts(where: str, modules: Sequence[str] = tuple(PACKAGES)) -> None:
    """Refuse what needs paper where its parts are not installed.

    Raises:
        UsageError: a part is missing; the refusal names its package.
    """
    _check("score sheets", {name: PACKAGES[name] for name in modules}, where, 'paper')


def check_serving_parts(where: str) -> None:
    """Refuse to serve where the parts for it are not installed.

    Raises:
        UsageError: a part is missing; the refusal names its package.
    """
    _check("phones and browsers", SERVING, where, 'serve')


def _check(what: str, packages: Mapping[str, str], where: str, extra: str) -> None:
    found = importlib.util.find_spec
    missing = [package for name, package in packages.items() if found(name) is None]
    if missing:
        raise UsageError(
            f"{what} need {' and '.join(missing)}, which {_is(len(missing))} not installed",
            where=where,
            remedy=f"install them with: pip install 'halfpoint[{extra}]'",
        )


def _is(count: int) -> str:
    return "is" if count == 1 else "are"
