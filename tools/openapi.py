"""Writes the OpenAPI document of the server, from which the app's types are made.

    .venv/bin/python tools/openapi.py > build/openapi.json
    cd web && npm run types

Run by hand (or by `make types`) when the API changes.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

from halfpoint.serve.app import create_app
from halfpoint.serve.settings import Settings


def document() -> str:
    """The document as JSON; the same until the API changes."""
    app = create_app(Settings(tasting=Path('tasting.toml')))
    return json.dumps(app.openapi(), indent=1, ensure_ascii=False, sort_keys=True) + '\n'


if __name__ == '__main__':
    sys.stdout.write(document())
