"""Files to download: the report, the result, its tables, the entries, the record."""

from __future__ import annotations

import asyncio
from typing import Any, Literal

from fastapi import APIRouter, Response

from halfpoint.ledger.copy import copy_of
from halfpoint.publish.export import to_json
from halfpoint.publish.export.tables import csv_text, tables
from halfpoint.publish.report import report_pdf
from halfpoint.serve.desk.files import as_file, zipped
from halfpoint.serve.desk.letters import letters_zip
from halfpoint.serve.desk.published import published
from halfpoint.serve.desk.results import Ready
from halfpoint.serve.desk.weighing import entries_as_csv
from halfpoint.serve.desk_names import with_desk_names
from halfpoint.serve.guard.roles import AsOrganiser, AtTasting, Here
from halfpoint.serve.routes.desk_results import AtDesk

router = APIRouter(prefix='/api/desk/files', tags=['desk: files'])


def _sent(media_type: str) -> dict[int | str, dict[str, Any]]:
    return {200: {'content': {media_type: {}}}}


@router.get('/report.pdf', response_class=Response, responses=_sent('application/pdf'))
async def report(
    _: AsOrganiser, here: AtTasting, at: AtDesk, paper: Literal['a4', 'us-letter'] = 'a4'
) -> Response:
    """The report of all that is recorded now."""
    ready = await at.results.newest(here)
    pdf = await asyncio.to_thread(report_pdf, published(ready), paper=paper)
    return as_file(pdf, 'application/pdf', f'{here.tasting.key}-report.pdf')


@router.get('/result.json', response_class=Response, responses=_sent('application/json'))
async def result(_: AsOrganiser, here: AtTasting, at: AtDesk) -> Response:
    """The result of all that is recorded now, as `halfpoint results --json` writes it."""
    ready = await at.results.newest(here)
    text = await asyncio.to_thread(lambda: to_json(published(ready)))
    return as_file(text, 'application/json', f'{here.tasting.key}-result.json')


@router.get('/csv.zip', response_class=Response, responses=_sent('application/zip'))
async def csv_tables(_: AsOrganiser, here: AtTasting, at: AtDesk) -> Response:
    """The tables of the result as CSV files."""
    ready = await at.results.newest(here)
    content = await asyncio.to_thread(_zipped, ready)
    return as_file(content, 'application/zip', f'{here.tasting.key}-csv.zip')


@router.get('/letters.zip', response_class=Response, responses=_sent('application/zip'))
async def letters(
    _: AsOrganiser,
    house: Here,
    here: AtTasting,
    at: AtDesk,
    paper: Literal['a4', 'us-letter'] = 'a4',
) -> Response:
    """A letter to each taster who agreed to it and to each host, after the reveal."""
    tasting = with_desk_names(here.tasting, house.desk.names())
    content = await at.slow.run(letters_zip, tasting, paper)
    return as_file(content, 'application/zip', f'{here.tasting.key}-letters.zip')


@router.get('/entries.csv', response_class=Response, responses=_sent('text/csv'))
async def entries(_: AsOrganiser, here: AtTasting, at: AtDesk, pseudonyms: bool = True) -> Response:
    """The entries that count; with pseudonyms nobody is named, and own words are left out."""
    text = await at.slow.run(entries_as_csv, here.tasting, pseudonyms=pseudonyms)
    return as_file(text, 'text/csv; charset=utf-8', f'{here.tasting.key}-entries.csv')


@router.get('/record.ledger', response_class=Response, responses=_sent('application/octet-stream'))
async def record(_: AsOrganiser, here: AtTasting) -> Response:
    """The whole record as it is now; it names tasters by key and wines by code."""
    content = await asyncio.to_thread(copy_of, here.tasting.ledger)
    return as_file(content, 'application/octet-stream', f'{here.tasting.key}.ledger')


def _zipped(ready: Ready) -> bytes:
    found = tables(published(ready))
    return zipped((name, csv_text(header, rows)) for name, (header, rows) in found.items())
