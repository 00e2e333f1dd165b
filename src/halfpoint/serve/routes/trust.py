"""What a phone trusts once, so that it can install the sheet from this machine."""

from __future__ import annotations

import asyncio
import ssl

from fastapi import APIRouter, Response
from starlette.exceptions import HTTPException

from halfpoint.serve.authority import authority_path
from halfpoint.serve.desk.files import as_file
from halfpoint.serve.guard.roles import Here

MEDIA_TYPE = 'application/x-x509-ca-cert'

router = APIRouter(tags=['hello'])


@router.get(
    '/trust',
    response_class=Response,
    responses={
        200: {'content': {MEDIA_TYPE: {}}},
        404: {'description': "The server makes no certificate of its own."},
    },
)
async def trust(here: Here) -> Response:
    """The certificate of this machine's authority, as phones take it in."""
    path = authority_path(here.settings.tasting)
    if not here.settings.tls or not path.is_file():
        raise HTTPException(404)
    pem = await asyncio.to_thread(path.read_text, encoding='ascii')
    return as_file(ssl.PEM_cert_to_DER_cert(pem), MEDIA_TYPE, 'halfpoint.crt')
