"""The repository as the house tests see it."""

from __future__ import annotations

import subprocess
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parents[2]


@cache
def kept_files() -> tuple[Path, ...]:
    """Files that are in the repository or about to be; all files outside git's sight."""
    listing = subprocess.run(
        ['git', 'ls-files', '--cached', '--others', '--exclude-standard', '-z'],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    if listing.returncode == 0:
        names = [name for name in listing.stdout.split('\0') if name]
        return tuple(path for name in sorted(set(names)) if (path := ROOT / name).is_file())
    left_out = {'.venv', '.git', 'build', '__pycache__'}
    return tuple(
        path
        for path in sorted(ROOT.rglob('*'))
        if path.is_file() and not left_out & set(path.relative_to(ROOT).parts)
    )


def text_of(path: Path) -> str | None:
    """The file as text, or None when it is not text."""
    try:
        return path.read_text(encoding='utf-8')
    except UnicodeDecodeError:
        return None
