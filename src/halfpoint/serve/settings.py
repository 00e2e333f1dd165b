"""What the server was started with."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path

from halfpoint.tasting.record_place import RecordPlace


@dataclass(frozen=True, slots=True)
class Rate:
    """At most so many in so many seconds."""

    most: int
    seconds: float


@dataclass(frozen=True, slots=True)
class Limits:
    """What is taken at most. A room joins from one address, so only wrong codes count there.

    `body` and `upload` are bytes of one request; `names` how long a typed name may be.
    """

    body: int = 256 * 1024
    desk_body: int = 2 * 1024 * 1024
    upload: int = 256 * 1024 * 1024
    names: int = 80
    wrong_passwords: Rate = Rate(5, 300)
    wrong_codes: Rate = Rate(20, 600)
    joins_by_address: Rate = Rate(600, 60)
    joins_by_code: Rate = Rate(120, 60)


@dataclass(frozen=True, slots=True)
class Settings:
    """What one server serves, where, and for how long things are valid.

    `tasting` is the path of the tasting file, which need not be there yet; `ledger` overrides the
    record the file names; `behind_proxy` trusts what a proxy on this machine says of a request;
    `app` is the folder of the built browser app, None for the one in the package.
    """

    tasting: Path
    ledger: RecordPlace | None = None
    host: str = '127.0.0.1'
    port: int = 8420
    tls: bool = False
    behind_proxy: bool = False
    app: Path | None = None
    session: timedelta = timedelta(days=7)
    limits: Limits = field(default_factory=Limits)

    @property
    def desk(self) -> Path:
        """Where passwords, sessions, links and devices are kept."""
        return self.tasting.with_suffix('.desk')

    @property
    def folder(self) -> Path:
        """The folder of the tasting."""
        return self.tasting.parent
