"""The organiser's password: logging in and out, and changing it."""

from __future__ import annotations

import asyncio
from datetime import UTC, datetime, timedelta
from typing import Annotated

from fastapi import APIRouter, Request, Response
from pydantic import Field

from halfpoint.serve.guard.csrf import check_own_page
from halfpoint.serve.guard.limits import address_of
from halfpoint.serve.guard.passwords import LONGEST, SHORTEST, is_password, set_password
from halfpoint.serve.guard.roles import COOKIE, AsOrganiser, Here
from halfpoint.serve.house import House
from halfpoint.serve.problems import Refused
from halfpoint.serve.wire.marks import Shape
from halfpoint.serve.wire.names import TypedName

router = APIRouter(tags=['login'])

Password = Annotated[str, Field(max_length=LONGEST)]


class Login(Shape):
    """What the organiser types."""

    password: Password
    name: TypedName = ''
    """The name that goes with every decision from now on; "organiser" when none is given."""


class LoggedIn(Shape):
    """The session, which lies in a cookie that no script can read."""

    who: str
    """The name that goes with every decision."""
    ends: datetime
    """When the password will be asked for again."""


class NewPassword(Shape):
    """A change of password."""

    old: Password
    new: Annotated[str, Field(min_length=SHORTEST, max_length=LONGEST)]
    """Ten letters or more."""


@router.post('/api/login')
async def login(login: Login, request: Request, response: Response, here: Here) -> LoggedIn:
    """Log in as the organiser."""
    check_own_page(request)
    await _check_password(login.password, request, here)
    return await _begin(request, response, here, login.name or 'organiser')


@router.get('/api/desk/me')
async def me(who: AsOrganiser) -> LoggedIn:
    """Who is at the desk, and for how long."""
    return LoggedIn(who=who.who, ends=who.ends)


@router.post('/api/logout', status_code=204)
async def logout(request: Request, here: Here) -> Response:
    """End this session; nothing happens when there is none."""
    check_own_page(request)
    token = request.cookies.get(COOKIE)
    if token:
        await asyncio.to_thread(here.desk.end_session, token)
    response = Response(status_code=204)
    response.delete_cookie(COOKIE, path='/api', httponly=True, samesite='strict')
    return response


@router.post('/api/desk/password')
async def change_password(
    change: NewPassword, request: Request, response: Response, who: AsOrganiser, here: Here
) -> LoggedIn:
    """Change the password; every other session ends."""
    await _check_password(change.old, request, here)
    await asyncio.to_thread(set_password, here.desk, change.new)
    return await _begin(request, response, here, who.who)


async def _check_password(password: str, request: Request, here: House) -> None:
    address, wrong = address_of(request), here.counters.wrong_passwords
    wrong.check(address)
    # Counted before it is looked at, so that many at once are no way around the limit.
    wrong.count(address)
    kept = here.desk.kept('password')
    if kept is None or not await asyncio.to_thread(is_password, kept, password):
        raise Refused(
            401,
            'wrong-password',
            "this is not the organiser's password",
            where='password',
            remedy="type it again; halfpoint serve --new-password makes a new one",
        )
    wrong.forget(address)


async def _begin(request: Request, response: Response, here: House, who: str) -> LoggedIn:
    lasting: timedelta = here.settings.session
    token = await asyncio.to_thread(here.desk.begin_session, lasting, who)
    response.set_cookie(
        COOKIE,
        token,
        max_age=int(lasting.total_seconds()),
        path='/api',
        httponly=True,
        samesite='strict',
        secure=request.url.scheme == 'https',
    )
    return LoggedIn(who=who, ends=datetime.now(UTC) + lasting)
