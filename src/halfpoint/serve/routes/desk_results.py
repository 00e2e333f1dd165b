"""Results as they come, as JSON and as charts."""

from __future__ import annotations

import asyncio
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Depends, Request, Response
from pydantic import Field

from halfpoint.serve.desk.desk import Desk, desk
from halfpoint.serve.guard.roles import AsOrganiser, AtTasting
from halfpoint.serve.wire.marks import Shape

router = APIRouter(prefix='/api/desk', tags=['desk: results'])
Part = Literal['components', 'ordinal', 'suspects', 'scale', 'panel', 'tasters', 'aroma']
AtDesk = Annotated[Desk, Depends(desk)]


class ResultsShown(Shape):
    """The newest scores, and what is beside them as it was last worked out."""

    version: int
    """The last record that the scores take into account: the last there was when it was asked."""
    newest: int
    """The last record there is."""
    stale: bool
    """Whether newer scores are being worked out; the event `results` says when they are there."""
    beside: int
    """The last record that the parts beside the scores take into account; 0 for none yet."""
    again: list[Part]
    """Which parts are being weighed again; the event `results` says when they are there."""
    sentence: str
    """What was found, in words."""
    findings: Annotated[dict[str, Any], Field()]
    """The findings, exactly as `halfpoint results --json` writes them."""


@router.get('/results', response_model=ResultsShown, responses={304: {}})
async def results(
    request: Request, _: AsOrganiser, here: AtTasting, at: AtDesk, tasters: bool = True
) -> Response:
    """Scores of all that is recorded now; what takes longer follows, and is named in `again`.

    Where even scores take long, the last result comes at once and is marked `stale`. Without
    `tasters` there is nothing of each taster in it, which is most of a large result.
    """
    ready = await at.results.ready(here)
    newest = here.writer.version
    tag = f'"{ready.version}-{ready.beside}-{newest}-{tasters:d}"'
    headers = {'ETag': tag, 'Cache-Control': 'private, no-cache', 'Vary': 'Accept-Encoding'}
    if tag in request.headers.get('If-None-Match', ''):
        return Response(status_code=304, headers=headers)
    plain, packed = await asyncio.to_thread(at.results.answer, ready, newest, tasters=tasters)
    if 'gzip' in request.headers.get('Accept-Encoding', ''):
        headers['Content-Encoding'] = 'gzip'
        return Response(packed, media_type='application/json', headers=headers)
    return Response(plain, media_type='application/json', headers=headers)
