"""Whether the parts for paper are installed."""

from __future__ import annotations

import importlib.util
from collections.abc import Sequence

from halfpoint.errors import UsageError

# Module to import: name of the package it comes in.
PACKAGES = {
    'zxingcpp': 'zxing-cpp',
    'pypdfium2': 'pypdfium2',
    'cv2': 'opencv-python-headless',
    'PIL': 'pillow',
}


def check_paper_parts(where: str, modules: Sequence[str] = tuple(PACKAGES)) -> None:
    """Refuse what needs paper where its parts are not installed.

    Raises:
        UsageError: a part is missing; the refusal names its package.
    """
    missing = [PACKAGES[name] for name in modules if importlib.util.find_spec(name) is None]
    if missing:
        raise UsageError(
            f"score sheets need {' and '.join(missing)}, which {_is(len(missing))} not installed",
            where=where,
            remedy="install them with: pip install 'halfpoint[paper]'",
        )


def _is(count: int) -> str:
    return "is" if count == 1 else "are"
