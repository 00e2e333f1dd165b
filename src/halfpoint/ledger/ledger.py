"""The record itself: opened once for a tasting, then only added to."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from typing import Self

from halfpoint.errors import LedgerAltered, LedgerError
from halfpoint.ledger.bodies import as_body
from halfpoint.ledger.chain import Head, Record, VerifyResult, as_json, link, walk
from halfpoint.ledger.records import Content, Opened
from halfpoint.ledger.store import Store, no_record
from halfpoint.ledger.stores import open_store
from halfpoint.tasting.record_place import Database, RecordPlace


class Ledger:
    """The append-only record of one tasting.

    What `append` has returned from is on disk; what it has not returned from is there whole
    or not at all.
    """

    def __init__(self, store: Store, place: RecordPlace) -> None:
        self._store = store
        self._place = place
        self._writing = False
        # The end of the record while nobody else can add to it.
        self._end: Head | None = None
        # Records of this writing that the store has not got yet: it takes many at once.
        self._made: list[Record] = []

    @classmethod
    def open(
        cls,
        place: RecordPlace,
        *,
        tasting_key: str,
        title: str = '',
        sheet: str = '',
        who: str = 'organiser',
        create: bool = True,
        patience: float = 10.0,
    ) -> Self:
        """Open the record at this place, or begin it.

        `patience` is how many seconds to wait while another process writes.

        Raises:
            LedgerError: there is none and `create` is False, it belongs to another tasting, or
                something else lies there.
            UsageError: the part for such a place is not installed.
            LedgerBusy, LedgerAltered, OutputError, DiskFull: see `SqliteStore`, `PostgresStore`.
        """
        store = open_store(place, create=create, patience=patience)
        ledger = cls(store, place)
        try:
            ledger._begin(Opened(tasting_key, title, sheet), who=who, create=create)
        except BaseException:
            store.close()
            raise
        return ledger

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *exc: object) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the record."""
        self._store.close()

    def append(self, contents: Iterable[Content], *, who: str) -> tuple[int, ...]:
        """Add these at the end, all or none, and give their sequence numbers.

        On disk when this returns; within `writing`, when that ends.

        Raises:
            DiskFull: no space was left; nothing of this was recorded.
            LedgerBusy: another process keeps the record locked.
        """
        return tuple(record.sequence for record in self.record(contents, who=who))

    def record(self, contents: Iterable[Content], *, who: str) -> tuple[Record, ...]:
        """The same as `append`, and give the records as they now lie in the record."""
        with self.writing():
            return self._add(contents, who)

    @contextmanager
    def writing(self) -> Iterator[None]:
        """Hold the only pen, so that what is read here is still so when it is added to.

        Within another `writing` it is a part of that: all of both is added, or nothing.
        """
        if self._writing:
            yield
            return
        with self._store.writing():
            self._writing = True
            try:
                yield
                self._put_down()
            finally:
                self._writing = False
                self._end = None
                self._made.clear()

    def records(self, after: int = 0) -> Iterator[Record]:
        """Everything that was ever recorded after this sequence number, in order."""
        if self._writing:
            self._put_down()
        return self._store.rows(after)

    @property
    def head(self) -> Head:
        """The end of the record, to be noted down and shown to `verify` later."""
        if not self._writing:
            return self._store.head()
        if self._end is None:
            self._end = self._store.head()
        return self._end

    def verify(self, noted: str = '') -> VerifyResult:
        """Walk the whole chain; `noted` is a head (or its first digits) written down earlier."""
        result = walk(self.records(), noted)
        damage = self._store.damage() if result.holds else ''
        if damage:
            return VerifyResult(result.records, result.head, None, damage, result.noted_at)
        return result

    def _put_down(self) -> None:
        if self._made:
            self._store.add(self._made)
            self._made.clear()

    def _begin(self, opened: Opened, *, who: str, create: bool) -> None:
        if self.head.count == 0:
            if not create:
                raise no_record(str(self._place))
            with self.writing():
                if self.head.count == 0:
                    self.append([opened], who=who)
        self._check_belongs_to(opened.tasting)

    def _check_belongs_to(self, tasting_key: str) -> None:
        first = next(self.records())
        try:
            content = first.content
        except (AttributeError, KeyError, TypeError, ValueError):
            content = None
        if not isinstance(content, Opened):
            raise LedgerAltered(
                "the record does not begin with the opening of a tasting",
                where=str(self._place),
                remedy="keep this file as it is, and go back to the last copy that verifies",
            )
        if content.tasting != tasting_key:
            raise LedgerError(
                f"the record belongs to the tasting {content.tasting}",
                where=str(self._place),
                expected=f"the record of {tasting_key}",
                remedy=_name_another(self._place),
            )

    def _add(self, contents: Iterable[Content], who: str) -> tuple[Record, ...]:
        head, added = self.head, []
        made = datetime.now(UTC).isoformat(timespec='milliseconds').replace('+00:00', 'Z')
        for content in contents:
            try:
                record = link(head, content.kind, made, who, as_json(as_body(content)))
            except UnicodeEncodeError as reason:
                raise LedgerError(
                    "text that is not Unicode, so that it cannot be recorded",
                    where=f"{content.kind}, {reason.object[:40]!a}",
                    remedy="write it again in another way",
                ) from reason
            head = Head(record.sequence, record.hash)
            added.append(record)
        self._made += added
        self._end = head
        return tuple(added)


def _name_another(place: RecordPlace) -> str:
    if isinstance(place, Database):
        return "name another schema in the address, as in ?schema=autumn"
    return "name another file under `ledger` in the tasting file"
