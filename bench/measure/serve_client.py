"""Clients for the server's bench: plain sockets that are kept open, one request at a time each."""

from __future__ import annotations

import asyncio
import json
import time
import uuid
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

MARKS = {'appearance': 3, 'aroma': 4.5, 'taste': 4, 'aftertaste': 2, 'overall': 1.5}


@dataclass(frozen=True, slots=True)
class Phone:
    """A device at a seat, and the codes that are poured there."""

    token: str
    device: str
    codes: tuple[str, ...]


@dataclass(slots=True)
class Sent:
    """What came of sending: seconds each took, when each was answered, and answers that were no."""

    seconds: list[float] = field(default_factory=list)
    times: list[float] = field(default_factory=list)
    refused: list[bytes] = field(default_factory=list)

    def rate(self, skip: float) -> float:
        """Sheets a second, without the first `skip` seconds and the last half second."""
        first, last = self.times[0] + skip, max(self.times) - 0.5
        return sum(first < t < last for t in self.times) / (last - first)

    def percentile(self, share: float, skip: float) -> float:
        """Seconds that this share of the requests took at most."""
        first = self.times[0] + skip
        taken = sorted(s for s, t in zip(self.seconds, self.times, strict=True) if t > first)
        return taken[min(len(taken) - 1, int(share * len(taken)))]


def requests_of(phone: Phone) -> Iterator[bytes]:
    """A request for each pour of a phone."""
    for code in phone.codes:
        entry = {
            'id': str(uuid.uuid5(uuid.UUID(phone.device), code)), 'version': 1, 'code': code,
            'marks': MARKS, 'terms': ['lemon', 'green-apple', 'vanilla'],
            'own_words': ['wet slate'], 'finish_seconds': 22, 'complete': True,
            'remark': 'Fresh, long, a little sharp.',
            'written': '2026-03-14T19:05:00Z',
        }  # fmt: skip
        body = json.dumps({'device': phone.device, 'app': 'bench', 'entries': [entry]}).encode()
        head = (
            f'PUT /api/sheet/entries HTTP/1.1\r\nHost: bench\r\nContent-Type: application/json\r\n'
            f'Authorization: Bearer {phone.token}\r\nContent-Length: {len(body)}\r\n\r\n'
        )
        yield head.encode() + body


async def answer(reader: asyncio.StreamReader) -> tuple[bytes, bytes]:
    """The first line and the body of an answer."""
    head = await reader.readuntil(b'\r\n\r\n')
    length = next(
        (int(line[15:]) for line in head.lower().split(b'\r\n') if line[:15] == b'content-length:'),
        0,
    )
    return head.split(b'\r\n', 1)[0], await reader.readexactly(length)


async def _client(
    port: int, phones: Sequence[Phone], first: float, every: float, until: float, sent: Sent
) -> None:
    """One client; with `every`, a request is due so often and waits from the moment it is due."""
    reader, writer = await asyncio.open_connection('127.0.0.1', port)
    due = first
    try:
        for phone in phones:
            for request in requests_of(phone):
                await asyncio.sleep(max(0.0, due - time.perf_counter()))
                began = due if every else time.perf_counter()
                if began > until:
                    return
                writer.write(request)
                _, body = await answer(reader)
                ended = time.perf_counter()
                sent.seconds.append(ended - began)
                sent.times.append(ended)
                if b'"state":"kept"' not in body:
                    sent.refused.append(body)
                due += every
    finally:
        writer.close()


async def send_all(
    port: int, phones: Sequence[Phone], clients: int, seconds: float, every: float = 0.0
) -> Sent:
    """Send sheets from so many clients at once, for so many seconds or until none are left.

    Each client sends one `every` so many seconds, or else as soon as the one before is answered.
    """
    sent, begin = Sent(), time.perf_counter() + 0.5
    shares = [phones[n::clients] for n in range(clients)]
    jobs = (
        _client(port, share, begin + every * n / clients, every, begin + seconds, sent)
        for n, share in enumerate(shares)
    )
    await asyncio.gather(*jobs)
    return sent


@dataclass(slots=True)
class Streams:
    """What came of many event streams: how many opened, and seconds until each was told."""

    status: bytes
    opened: int
    told: list[float]


async def stream_all(port: int, cookie: str, count: int, phone: Phone) -> Streams:
    """Open so many event streams, send a sheet, and see when each is told of it."""
    request = (
        'GET /api/desk/events HTTP/1.1\r\nHost: bench\r\nAccept: text/event-stream\r\n'
        f'Cookie: halfpoint_desk={cookie}\r\nX-Halfpoint: 1\r\n'
        'Sec-Fetch-Site: same-origin\r\n\r\n'
    ).encode()
    pairs = []
    status = b''
    for _ in range(count):
        reader, writer = await asyncio.open_connection('127.0.0.1', port, limit=2**20)
        writer.write(request)
        head = await asyncio.wait_for(reader.readuntil(b'\r\n\r\n'), 60)
        status = head.split(b'\r\n', 1)[0]
        if b' 200' not in status:
            writer.close()
            return Streams(status, 0, [])
        pairs.append((reader, writer))
    await asyncio.sleep(3)
    for reader, _ in pairs:
        _empty(reader)
    began = time.perf_counter()
    waiting = [asyncio.ensure_future(_told(reader, began)) for reader, _ in pairs]
    await send_all(port, [phone], 1, 1)
    told = await asyncio.gather(*waiting)
    for _, writer in pairs:
        writer.close()
    return Streams(status, len(pairs), [t for t in told if t is not None])


def _empty(reader: asyncio.StreamReader) -> None:
    buffer: bytearray = reader._buffer  # type: ignore[attr-defined]  # noqa: SLF001
    buffer.clear()


async def _told(reader: asyncio.StreamReader, began: float) -> float | None:
    try:
        while True:
            line = await asyncio.wait_for(reader.readuntil(b'\n'), 30)
            if line.startswith(b'event: progress'):
                return time.perf_counter() - began
    except (TimeoutError, asyncio.IncompleteReadError):
        return None
