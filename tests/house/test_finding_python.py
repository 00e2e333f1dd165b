"""`tools/find_python.sh` finds a Python that can make the environment, or says what to do."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from repository import ROOT

SCRIPT = ROOT / 'tools/find_python.sh'
TOO_OLD = '#!/bin/sh\ncase "$2" in *exit*) exit 1;; *print*) echo 3.9;; esac\n'
NO_VENV = '#!/bin/sh\ncase "$2" in *ensurepip*) exit 1;; *print*) echo 3.12;; esac\n'
GOOD = '#!/bin/sh\nexit 0\n'


def _find(folder: Path, uid: int = 1000, **programs: str) -> subprocess.CompletedProcess[str]:
    for name, text in {'id': f'#!/bin/sh\necho {uid}\n', **programs}.items():
        path = folder / name.replace('_', '.').replace('apt.get', 'apt-get')
        path.write_text(text, encoding='utf-8')
        path.chmod(0o755)
    shell = shutil.which('sh') or '/bin/sh'
    return subprocess.run(
        [shell, str(SCRIPT)],
        env={'PATH': str(folder)}, capture_output=True, text=True, check=False,
    )  # fmt: skip


def test_takes_one_that_is_new_enough(tmp_path: Path) -> None:
    """A Python that is too old is passed over for a newer one with venv."""
    found = _find(tmp_path, python3=TOO_OLD, python3_12=GOOD)
    assert (0, f'{tmp_path}/python3.12') == (found.returncode, found.stdout.strip())


def test_says_when_there_is_none(tmp_path: Path) -> None:
    """Without any Python the message says what is needed and how to name one."""
    found = _find(tmp_path)
    assert 1 == found.returncode
    assert 'no Python 3.11 or newer was found.' in found.stderr
    assert 'make PYTHON=' in found.stderr


def test_says_what_was_found_when_all_are_too_old(tmp_path: Path) -> None:
    """A Python that is too old is named with its version."""
    found = _find(tmp_path, python3=TOO_OLD)
    assert 1 == found.returncode
    assert 'found only python3 (3.9)' in found.stderr


def test_says_exactly_what_to_install_for_venv(tmp_path: Path) -> None:
    """A Python without ensurepip, not as root: the very package and command are named."""
    found = _find(tmp_path, python3=NO_VENV, apt_get='#!/bin/sh\nexit 9\n')
    assert 1 == found.returncode
    assert "'sudo apt-get install python3.12-venv'" in found.stderr


def test_installs_venv_itself_as_root_on_debian(tmp_path: Path) -> None:
    """As root with apt-get the missing package is installed, and then the Python is taken."""
    done = tmp_path / 'done'
    python = NO_VENV.replace('exit 1', f'test -e "{done}" || exit 1').replace('3.12', '3.11')
    apt = f'#!/bin/sh\ncase "$*" in *python3.11-venv*) : > "{done}";; esac\n'
    found = _find(tmp_path, uid=0, python3=python, apt_get=apt)
    assert (0, f'{tmp_path}/python3') == (found.returncode, found.stdout.strip())


@pytest.mark.skipif(os.name != 'posix', reason="needs a POSIX shell")
def test_a_named_python_comes_first() -> None:
    """PYTHON=… is tried before the usual names."""
    place = os.environ | {'PYTHON': sys.executable}
    found = subprocess.run(
        ['sh', str(SCRIPT)], env=place, capture_output=True, text=True, check=False
    )
    assert sys.executable == found.stdout.strip()
