"""A site's sheets as a file, for a room without a network."""

from __future__ import annotations

import re
from typing import Annotated

from fastapi import APIRouter, File, Response, UploadFile

from halfpoint.errors import InputError
from halfpoint.ledger.bundle import (
    MOST_BYTES,
    Bundle,
    BundleTaken,
    bundle_of,
    counted,
    packed,
    read_bundle,
    sheets_in,
)
from halfpoint.ledger.from_phone import take_sheets
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.replay import State
from halfpoint.serve.answers import as_json
from halfpoint.serve.guard.roles import AsHost, Host
from halfpoint.serve.room import InRoom, Room
from halfpoint.serve.routes.sheet import SENDING
from halfpoint.serve.wire.site import BundleHeld, BundleLoaded

router = APIRouter(tags=['host'])
GZIP = 'application/gzip'


@router.get(
    '/api/site/bundle',
    response_class=Response,
    responses={200: {'content': {GZIP: {}}}, **SENDING},
)
async def get_bundle(who: AsHost, here: InRoom) -> Response:
    """All sheets of the site as one file. It names no wine, and loading it twice adds nothing."""

    def look(state: State) -> bytes:
        return bundle_of(
            state, tasting=here.tasting.key, site=who.site, one_room=not here.tasting.sites
        )

    name = re.sub(r'[^\w.-]+', '_', who.site, flags=re.ASCII)
    headers = {
        'Content-Disposition': f'attachment; filename="{name}.halfpoint-site.json.gz"',
        'Cache-Control': 'no-store',
    }
    return Response(packed(await here.writer.read(look)), media_type=GZIP, headers=headers)


@router.post('/api/site/bundle', response_model=BundleLoaded, responses=SENDING)
async def post_bundle(
    who: AsHost, here: InRoom, file: Annotated[UploadFile, File(description="The bundle.")]
) -> Response:
    """Load a bundle that was saved elsewhere. What is there already adds nothing."""
    where = (file.filename or 'the file')[-80:]
    data = await file.read(MOST_BYTES + 1)
    if len(data) > MOST_BYTES:
        raise InputError("a file of more than 64 MB", where=where, expected="a bundle of a site")
    bundle = read_bundle(data, tasting=here.tasting.key, where=where)
    if bundle.site != who.site:
        raise InputError(
            f"a bundle of the site '{bundle.site}'",
            where=where,
            expected=f"a bundle of '{who.site}'",
            remedy="that site's own host loads it, or the organiser gathers it",
        )
    return as_json(_told(bundle, await _load(here, who, bundle)))


async def _load(here: Room, who: Host, bundle: Bundle) -> BundleTaken:
    def job(ledger: Ledger, state: State) -> BundleTaken:
        arrived = sheets_in(bundle, here.desk_for_late(state))
        return counted(arrived, take_sheets(ledger, arrived, who=who.who, state=state))

    return await here.writer.do(job)


def _told(bundle: Bundle, taken: BundleTaken) -> BundleLoaded:
    held = [
        BundleHeld(
            taster=sheet.row.get('taster', ''),
            code=sheet.row.get('code', ''),
            field="; ".join(p.field for p in answer.problems),
            found="; ".join(p.found for p in answer.problems),
            expected="; ".join(p.expected for p in answer.problems),
        )
        for sheet, answer in taken.held
    ]
    return BundleLoaded(site=bundle.site, new=taken.new, already=taken.already, held=held)
