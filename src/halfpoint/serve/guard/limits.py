"""How often somebody may try: counted in memory, by address and by code."""

from __future__ import annotations

import ipaddress
import math
import time
from collections import OrderedDict, deque
from collections.abc import Callable

from starlette.requests import Request

from halfpoint.serve.problems import Refused
from halfpoint.serve.settings import Limits, Rate

# So many keys are remembered; the longest unheard of is forgotten first.
MOST_KEYS = 20_000


class Counter:
    """Counts what happened under a key within the last seconds."""

    def __init__(self, rate: Rate, clock: Callable[[], float] = time.monotonic) -> None:
        self._rate = rate
        self._clock = clock
        self._moments: OrderedDict[str, deque[float]] = OrderedDict()

    def check(self, key: str) -> None:
        """Refuse when there was too much under this key of late.

        Raises:
            Refused: 429, with the seconds to wait.
        """
        moments = self._recent(key)
        if len(moments) >= self._rate.most:
            wait = max(1, math.ceil(moments[0] + self._rate.seconds - self._clock()))
            raise Refused(
                429,
                'too-often',
                "too many tries in a short time",
                expected=f"at most {self._rate.most} in {self._rate.seconds:.0f} seconds",
                remedy=f"wait {_spoken(wait)}, then try again",
                headers={'Retry-After': str(wait)},
            )

    def count(self, key: str) -> None:
        """Count one more."""
        self._recent(key).append(self._clock())
        self._moments.move_to_end(key)
        while len(self._moments) > MOST_KEYS:
            self._moments.popitem(last=False)

    def forget(self, key: str) -> None:
        """Begin anew under this key."""
        self._moments.pop(key, None)

    def _recent(self, key: str) -> deque[float]:
        moments = self._moments.setdefault(key, deque())
        since = self._clock() - self._rate.seconds
        while moments and moments[0] <= since:
            moments.popleft()
        return moments


class Counters:
    """Every count that is kept."""

    def __init__(self, limits: Limits) -> None:
        self.wrong_passwords = Counter(limits.wrong_passwords)
        self.wrong_codes = Counter(limits.wrong_codes)
        self.joins_by_address = Counter(limits.joins_by_address)
        self.joins_by_code = Counter(limits.joins_by_code)


def address_of(request: Request) -> str:
    """Where a request comes from: an address, or the network of one household with IPv6."""
    host = request.client.host if request.client else ''
    try:
        address = ipaddress.ip_address(host)
    except ValueError:
        return host
    if address.version == 6 and address.ipv4_mapped is None:
        return str(ipaddress.ip_network((address, 64), strict=False))
    return str(address)


def _spoken(seconds: int) -> str:
    return f"{seconds} seconds" if seconds < 90 else f"{math.ceil(seconds / 60)} minutes"
