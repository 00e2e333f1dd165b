"""What was measured, to the byte: digests of source files, and the commit."""

from __future__ import annotations

import hashlib
import subprocess
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
BUILD = ROOT / 'build' / 'bench'
_SOURCE = ROOT / 'src' / 'halfpoint'


@dataclass(frozen=True, slots=True)
class Frozen:
    """SHA-256 over the files of the printed form, the reader and the simulator.

    `commit` is that of the checkout; `changed` lists files of these three that differ from it.
    """

    printed: str
    reader: str
    simulator: str
    commit: str
    changed: tuple[str, ...]

    @property
    def short(self) -> str:
        """Twelve digits that are others when any of the files is another."""
        whole = self.printed + self.reader + self.simulator
        return hashlib.sha256(whole.encode()).hexdigest()[:12]


def frozen() -> Frozen:
    """As the files are now."""
    paper = _SOURCE / 'collect' / 'paper'
    folders = (paper / 'print', paper / 'read', _SOURCE / 'demo' / 'paper')
    printed, reader, simulator = (digest(folder) for folder in folders)
    changed = _git('status', '--porcelain', '--', *map(str, folders)).splitlines()
    commit = _git('rev-parse', 'HEAD')
    return Frozen(printed, reader, simulator, commit, tuple(line[3:] for line in changed))


def digest(folder: Path) -> str:
    """SHA-256 over the names and contents of all files below a folder, in order of their names."""
    whole = hashlib.sha256()
    files = [file for file in folder.rglob('*') if file.is_file() and file.suffix != '.pyc']
    for file in sorted(files):
        content = hashlib.sha256(file.read_bytes()).hexdigest()
        whole.update(f'{file.relative_to(folder).as_posix()} {content}\n'.encode())
    return whole.hexdigest()


def _git(*arguments: str) -> str:
    """What git says; '' where there is no git or no repository."""
    try:
        done = subprocess.run(
            ['git', '-C', str(ROOT), *arguments], capture_output=True, text=True, check=True
        )
    except (OSError, subprocess.CalledProcessError):
        return ''
    return done.stdout.rstrip()
