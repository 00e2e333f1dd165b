"""Writes the OpenAPI document of the server, from which the browser app's types are made."""

from __future__ import annotations

import json
import sys
from pathlib import Path

from halfpoint.serve.app import create_app
from halfpoint.serve.settings import Settings
from halfpoint.writing import make_folder_safely, write_text_safely

USUAL = Path(__file__).parents[1] / 'build/openapi.json'


def write_document(path: Path = USUAL) -> None:
    """Write it, the same for the same code; nothing is served."""
    document = create_app(Settings(tasting=Path('tasting.toml'))).openapi()
    make_folder_safely(path.parent)
    write_text_safely(path, json.dumps(document, indent=1, ensure_ascii=False) + '\n')


if __name__ == '__main__':
    write_document(*(Path(argument) for argument in sys.argv[1:2]))
