"""Builds the browser app when a wheel or an editable install is made (tools/build_app.py)."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

ROOT = Path(__file__).parent
sys.path.insert(0, str(ROOT / 'tools'))

from build_app import (
    APP,
    NODE_PACKAGE,
    AppNotBuilt,
    build_app,
    is_fresh,
    node_of_the_system,
    say,
)


class AppBuild(BuildHookInterface[Any]):
    """A wheel has the app in it; an editable install is made without it, if it must be."""

    PLUGIN_NAME = 'custom'

    def dependencies(self) -> list[str]:
        """Node as a package, when there is something to build and the system has none."""
        return [] if is_fresh(ROOT) or node_of_the_system() else [NODE_PACKAGE]

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Build the app before the files are gathered."""
        if self.target_name != 'wheel':
            return
        try:
            build_app(ROOT)
        except AppNotBuilt as reason:
            if version != 'editable':
                self.app.abort(f"halfpoint: {reason}")
            say(f"{reason}\nhalfpoint is installed, and 'halfpoint serve' will say the same")
        build_data['artifacts'].append(f'{APP.as_posix()}/**')
