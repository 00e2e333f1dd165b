"""The charts of the result, drawn once in Python for paper and screen."""

from __future__ import annotations

import asyncio

from fastapi import APIRouter, Request, Response

from halfpoint.publish.charts.of_result import CHARTS, Theme, chart_svg
from halfpoint.serve.guard.roles import AsOrganiser, AtTasting
from halfpoint.serve.problems import Refused
from halfpoint.serve.routes.desk_results import AtDesk

router = APIRouter(prefix='/api/desk', tags=['desk: results'])
SVG = 'image/svg+xml'


@router.get(
    '/charts/{name}.svg',
    response_class=Response,
    responses={200: {'content': {SVG: {}}}, 204: {}, 304: {}},
)
async def chart(
    name: str,
    request: Request,
    _: AsOrganiser,
    here: AtTasting,
    at: AtDesk,
    theme: Theme = 'light',
) -> Response:
    """A chart of the newest result that is ready; 204 when there is nothing to draw in it."""
    if name not in CHARTS:
        raise Refused(
            404, 'no-such-chart', f"no chart '{name[:40]}'", where='name',
            expected=f"one of {', '.join(CHARTS)}", remedy="choose one of these",
        )  # fmt: skip
    ready = await at.results.ready(here)
    tag = f'"{name}-{theme}-{ready.version}-{ready.beside}"'
    headers = {'ETag': tag, 'Cache-Control': 'private, no-cache'}
    if tag in request.headers.get('If-None-Match', ''):
        return Response(status_code=304, headers=headers)
    svg = await asyncio.to_thread(chart_svg, ready.findings, name, theme)
    if svg is None:
        return Response(status_code=204, headers=headers)
    return Response(svg, media_type=SVG, headers=headers)
