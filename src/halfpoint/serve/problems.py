"""Everything that is refused, as JSON that says what was found, where, and what to do."""

from __future__ import annotations

import logging
import re
from collections.abc import Mapping, Sequence
from http import HTTPStatus
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from pydantic import BaseModel, ConfigDict
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from halfpoint import errors
from halfpoint.errors import HalfpointError
from halfpoint.sheet.words import fold

MEDIA_TYPE = 'application/problem+json'
_LOG = logging.getLogger('halfpoint')


class Refusal(BaseModel):
    """Why something was refused, in words for the person who asked."""

    model_config = ConfigDict(use_attribute_docstrings=True)

    found: str
    """What was found."""
    where: str
    """Where it was found: a field, a file, a part of the address; empty when that is plain."""
    expected: str
    """What would have been accepted; empty when nothing would."""
    remedy: str
    """What to do now."""
    code: str
    """A short name for the kind of refusal, that stays the same."""


Problem = Refusal


class Refused(HalfpointError):
    """A request is refused with this HTTP status and code."""

    def __init__(
        self,
        status: int,
        code: str,
        found: str,
        *,
        where: str = '',
        expected: str = '',
        remedy: str = '',
        headers: Mapping[str, str] | None = None,
    ) -> None:
        super().__init__(found, where=where, expected=expected, remedy=remedy)
        self.status = status
        self.code = code
        self.headers = headers


# The most fitting class above a refusal decides.
_STATUS: Mapping[type[HalfpointError], int] = {
    HalfpointError: 400,
    errors.UsageError: 409,
    errors.InputError: 422,
    errors.FileNotReadable: 404,
    errors.LedgerError: 503,
    errors.LedgerAltered: 500,
    errors.NotInLedger: 404,
    errors.EstimateError: 409,
    errors.OutputError: 500,
    errors.DiskFull: 507,
}
# What these say is about the organiser's files, and may name wines: it is for the organiser.
_ORGANISERS_OWN = (
    errors.LedgerError, errors.OutputError, errors.TastingFileError, errors.SheetError,
    errors.FileNotReadable, errors.EstimateError,
)  # fmt: skip


def add_problem_handlers(app: FastAPI) -> None:
    """Make every refusal of the app a problem."""
    app.add_exception_handler(HalfpointError, _refusal)
    app.add_exception_handler(RequestValidationError, _misfit)
    app.add_exception_handler(HTTPException, _http)


def problem_response(
    status: int,
    code: str,
    found: str,
    *,
    where: str = '',
    expected: str = '',
    remedy: str = '',
    headers: Mapping[str, str] | None = None,
) -> JSONResponse:
    """A problem as it goes out; what is no Unicode in it is written with backslashes."""
    said = Refusal(
        found=_clean(found),
        where=_clean(where),
        expected=_clean(expected),
        remedy=_clean(remedy),
        code=code,
    )
    return JSONResponse(
        said.model_dump(), status_code=status, media_type=MEDIA_TYPE, headers=dict(headers or {})
    )


def status_of(refusal: HalfpointError) -> int:
    """The HTTP status that fits a refusal."""
    if isinstance(refusal, Refused):
        return refusal.status
    return next(_STATUS[kind] for kind in type(refusal).__mro__ if kind in _STATUS)


def code_of(refusal: HalfpointError) -> str:
    """The name of a kind of refusal: `LedgerBusy` is `ledger-busy`."""
    if isinstance(refusal, Refused):
        return refusal.code
    return re.sub(r'(?<!^)(?=[A-Z])', '-', type(refusal).__name__).lower()


def refusal_response(refusal: Refused) -> JSONResponse:
    """A refused request as it goes out."""
    return problem_response(
        refusal.status, refusal.code, refusal.found, where=refusal.where,
        expected=refusal.expected, remedy=refusal.remedy, headers=refusal.headers,
    )  # fmt: skip


async def _refusal(request: Request, refusal: Exception) -> JSONResponse:
    assert isinstance(refusal, HalfpointError)  # noqa: S101
    if isinstance(refusal, Refused):
        return refusal_response(refusal)
    status, code = status_of(refusal), code_of(refusal)
    headers = {'Retry-After': '1'} if status == 503 else {}
    if not _asked_by_organiser(request) and (
        isinstance(refusal, _ORGANISERS_OWN) or _names_a_wine(request, refusal)
    ):
        return problem_response(status, code, *_for_others(status), headers=headers)
    where = _without_folders(refusal.where)
    return problem_response(
        status, code, _without_folders(refusal.found), where=where,
        expected=_without_folders(refusal.expected), remedy=refusal.remedy, headers=headers,
    )  # fmt: skip


async def _misfit(_request: Request, error: Exception) -> JSONResponse:
    assert isinstance(error, RequestValidationError)  # noqa: S101
    first = error.errors()[0]
    more = len(error.errors()) - 1
    found = f"{first['msg']}" + (f", and {more} more like it" if more else "")
    return problem_response(
        422,
        'not-as-agreed',
        found,
        where=_place(first.get('loc', ())),
        expected="what the page of this server sends",
        remedy="load the page again, as it may be older than the server; nothing typed is lost",
    )


async def _http(_request: Request, error: Exception) -> JSONResponse:
    assert isinstance(error, HTTPException)  # noqa: S101
    found, remedy = _HTTP.get(error.status_code, (str(error.detail), "load the page again"))
    code = HTTPStatus(error.status_code).phrase.lower().replace(' ', '-')
    return problem_response(error.status_code, code, found, remedy=remedy, headers=error.headers)


_HTTP = {
    400: ("something that cannot be read", "load the page again, and send once more"),
    404: ("nothing is at this address", "go back to the start page"),
    405: ("this address does not take that kind of request", "load the page again"),
    413: ("too much at once", "send less at a time"),
}


class Mishaps:
    """Answers what nobody foresaw, without a word of what is inside; the log has the rest.

    The log names the route and not the address, as an address may hold a code.
    """

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request as the app does, or with a mishap."""
        started = False

        async def watching(message: Message) -> None:
            nonlocal started
            started = started or message['type'] == 'http.response.start'
            await send(message)

        try:
            await self._app(scope, receive, watching)
        except Exception:
            if scope['type'] != 'http':
                raise
            route = getattr(scope.get('route'), 'path', 'no route')
            _LOG.exception("a mishap: %s %s", scope['method'], route)
            if started:
                raise
            await _mishap()(scope, receive, send)


def _mishap() -> JSONResponse:
    return problem_response(
        500,
        'mishap',
        "something went wrong on the server",
        remedy="send again in a moment; what was acknowledged before is safe",
    )


def _for_others(status: int) -> tuple[str]:
    if status == 404:
        return ("there is no tasting here yet",)
    return ("the server cannot do this now; tell the organiser, and try again in a moment",)


def _asked_by_organiser(request: Request) -> bool:
    return bool(getattr(request.state, 'organiser', False))


def _names_a_wine(request: Request, refusal: HalfpointError) -> bool:
    """Whether a refusal has a word by which a wine is known."""
    read = request.app.state.house.last_read
    said = fold(f'{refusal.found} {refusal.where} {refusal.expected} {refusal.remedy}')
    wines = read.wines if read else ()
    return any(
        re.search(rf'(?<!\w){re.escape(fold(name))}(?!\w)', said)
        for wine in wines
        for name in (wine.key, wine.name)
    )


def _place(location: Sequence[Any]) -> str:
    parts = [str(part) for part in location]
    return ', '.join(parts[1:]) if len(parts) > 1 else ''.join(parts)


def _without_folders(text: str) -> str:
    """Absolute paths reduced to the name of the file."""
    return re.sub(r'(?<![\w.])/(?:[^\s:/]+/)+', '', text)


def _clean(text: str) -> str:
    short = text if len(text) <= 2000 else f'{text[:2000]}…'
    return short.encode('utf-8', 'backslashreplace').decode('utf-8')
