"""The log itself: entries appended one durable transaction each, samples beside them."""

import sqlite3
from collections.abc import Callable, Collection, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from commission.base.errors import CommissionError, Damaged, FileError, NotConfirmed, ReadOnly
from commission.record.face import Registry
from commission.record.logged import Draft, Head, Logged, Problem, Sample, SampleColumns, Seal, Unsealed
from commission.storage import faults, samples
from commission.storage.appending import append_inside, find_uid, head_of
from commission.storage.canonical import canonical
from commission.storage.chain import COLUMNS, differing, logged, next_digest, read_body
from commission.storage.connection import connect_for_reading, connect_for_writing, only_add, version_of
from commission.storage.lock import WriterLock
from commission.storage.migrations import bring_up_to_date
from commission.storage.reread import Reread
from commission.storage.schema import BUILD_IN_BODY, KIND_IN_BODY, SCHEMA_VERSION
from commission.storage.seals import unsealed_in
from commission.storage.since import begun_since
from commission.storage.tail import Due, Stamp, Tail, add_to_tail, find_tail
from commission.storage.verify import verify
from commission.storage.watch import SeriesWatch

_SELECT = f"""
SELECT ifnull((SELECT before.digest FROM entry AS before WHERE before.seq = entry.seq - 1), ''), body, digest,
    {", ".join(COLUMNS)}
FROM entry
"""  # noqa: S608 - names of our own fields

_OF_KIND = f"(kind = ? OR {KIND_IN_BODY} = ?)"


def _kind(kind: str) -> tuple[str, str]:
    return kind, canonical(kind)[1:-1]


class SqliteLog:
    """An append-only log in one SQLite file; made by ``open_log`` and ``open_log_for_reading``.

    It belongs to one thread at a time; the one that opened it may hand it over. It reads entries with the stages of its
    ``registry``. Entries go in through the standard library's sqlite3: the first reading typed must not wait for the
    import of sqlite-utils, which only makes and updates the tables.
    """

    def __init__(
        self,
        path: Path,
        registry: Registry,
        *,
        lock: WriterLock | None = None,
        read_only_because: str = "",
        reread: Reread | None = None,
        take: Callable[[], WriterLock] | None = None,
    ) -> None:
        self.path = path
        self.registry = registry
        self._reread = reread
        self._tails: dict[str, Tail] = {}
        self._watch = SeriesWatch(registry, reread)
        self._lock = lock
        self._because = read_only_because
        self._take = take
        self._version = 0
        self._connection: sqlite3.Connection | None = None
        self._data_version = 0
        self._openings = 0
        with faults.reading():
            self._connect()

    # Reading

    @property
    def read_only_because(self) -> str:
        """Why nothing can be written, in one line; empty where it can."""
        return self._because

    def entries(self, build: str | None = None, *, after: int = 0) -> list[Logged]:
        """Return the entries with a number above one, in order: all, or those of one build (``""``: the shared ones).

        Raises Damaged where an entry does not match its digest, or its columns differ from its sealed text: an entry
        is found by either, so that none can hide from its build. One of a kind that this program does not know is
        Unknown.
        """
        if build is None:
            return self._select("WHERE seq > ?", after)
        found_by = f"WHERE (build = ? OR {BUILD_IN_BODY} = ?) AND seq > ?"
        return self._select(found_by, build, canonical(build)[1:-1], after)

    def entries_of_kind(self, kind: str, *, after: int = 0) -> list[Logged]:
        """Return the entries of one kind with a number above one, of all builds, in order."""
        return self._select(f"WHERE {_OF_KIND} AND seq > ?", *_kind(kind), after)

    def last_of_kind(self, kind: str, *, count: int, skip: int = 0) -> list[Logged]:
        """Return so many entries of one kind from the end, the last first, after skipping some."""
        ordered = "ORDER BY seq DESC LIMIT ? OFFSET ?"
        return self._select(f"WHERE {_OF_KIND}", *_kind(kind), count, skip, ordered=ordered)

    def count_of_kind(self, kind: str) -> int:
        """Return how many entries of one kind there are."""
        if not self.has_tables():
            return 0
        with faults.reading():
            found = self.connection.execute(f"SELECT count(*) FROM entry WHERE {_OF_KIND}", _kind(kind))  # noqa: S608 - our own fields
            return int(found.fetchone()[0])

    def begun_since(self, begun: str, ended: Sequence[str], gone: Collection[int]) -> list[str]:
        """Return the builds with an entry of a kind after their last end, in the order in which that came.

        ``gone``: numbers of the entries that were withdrawn; an end among them does not count. Raises Damaged where an
        end that decides does not match its digest.
        """
        if not self.has_tables():
            return []
        with faults.reading():
            return begun_since(self.connection, begun, ended, gone)

    def entry(self, seq: int) -> Logged | None:
        """Return one entry by its number, or None."""
        found = self._select("WHERE seq = ?", seq)
        return found[0] if found else None

    def _select(self, where: str, *values: str | int, ordered: str = "ORDER BY seq") -> list[Logged]:
        if not self.has_tables():
            return []
        with faults.reading():
            rows = self.connection.execute(f"{_SELECT} {where} {ordered}", values).fetchall()
        return [self._read(*row) for row in rows]

    def _read(self, before: str, text: str, digest: str, *columns: str | int | None) -> Logged:
        seq = columns[0]
        if next_digest(before, text) != digest:
            raise Damaged(f"entry {seq} does not match its digest; run commission verify and restore a backup")
        try:
            body, payload = read_body(text, self.registry)
        except FileError as error:
            raise Damaged(f"entry {seq} cannot be read: {error}") from error
        if wrong := differing(body, columns):
            raise Damaged(
                f"entry {seq}: its columns differ from its sealed text: {wrong}; run commission verify and restore a "
                "backup"
            )
        return logged(body, payload, digest)

    def samples(self, series: str) -> SampleColumns:
        """Return the samples of a series as columns; raises Damaged where they are not as they were sealed."""
        if not self.has_tables():
            return SampleColumns(elapsed_s=(), pressure_pa=(), air_k=(), barometer_pa=())
        with faults.reading():
            self._watch.look(self.connection, series, self._tails.get(series))
            return samples.columns(self.connection, series)

    def last_sample(self, series: str) -> Sample | None:
        """Return the last sample of a series, or None."""
        if not self.has_tables():
            return None
        with faults.reading():
            return samples.last(self.connection, series)

    def seal(self, series: str) -> Seal:
        """Return the count and the digest of a series as it stands; raises Damaged where it is not as it was sealed."""
        if not self.has_tables():
            return Seal(count=0, digest="")
        with faults.reading():
            self._watch.look(self.connection, series, self._tails.get(series), always=True)
            return samples.seal(self.connection, series)

    def head(self) -> Head:
        """Return the end of the chain."""
        if not self.has_tables():
            return Head(seq=0, digest="")
        with faults.reading():
            return head_of(self.connection)

    def changed(self) -> bool:
        """Return whether another process has written since this was last asked."""
        _, now = self.outside_mark()
        before, self._data_version = self._data_version, now
        return bool(before != now)

    def outside_mark(self) -> tuple[int, int]:
        """Return a mark that is another one whenever anybody but this log may have changed what it read before.

        It is the number by which SQLite itself tells whether the pages that it holds are still those of the file, with
        how often the file was opened: a new connection counts from the start.
        """
        with faults.reading():
            (version,) = self.connection.execute("PRAGMA data_version").fetchone()
        return self._openings, version

    def verify(self, known: Head | None = None) -> list[Problem]:
        """Check integrity, guards, chain and sealed series; an empty list means that all is sound.

        A head that was written down outside the log, if given, must be in the chain: so a cut tail is found.
        """
        with faults.reading():
            return verify(self.connection, self.registry, known, self._reread)

    # Writing

    def append(self, draft: Draft) -> Logged:
        """Store an entry durably and return it; the same uid with the same content is stored once."""

        def look(connection: sqlite3.Connection) -> str:
            found = find_uid(connection, draft.uid)
            return "" if found is None else f"entry {found[0]} stands"

        with self._writing(look) as connection:
            return append_inside(connection, draft)

    def add_samples(
        self, series: str, rows: list[Sample], *, stamp: Stamp | None = None, header: str = "", seal: bool = False
    ) -> int:
        """Store samples at the end of a series in one durable transaction and return how many it now holds.

        With ``stamp`` given, the same transaction stores what is due about the series: the header row under which the
        samples came, where it is another than before, and a seal of those that have none. ``seal``: do not wait until
        one is due. Raises Damaged where the samples without a seal are not those that were stored.
        """
        ready = [samples.row_of(sample) for sample in rows]
        before: int | None = None

        def look(connection: sqlite3.Connection) -> str:
            now = samples.count(connection, series)
            stored = 0 if before is None else now - before
            return f"{stored} more samples stand" if stored else ""

        with self._writing(look) as connection:
            before = samples.count(connection, series)
            if stamp is None:
                return samples.add(connection, series, ready) if ready else before
            tail = self._tails.get(series) or find_tail(connection, self.registry, series)
            tail = add_to_tail(connection, series, ready, tail, Due(stamp, self.registry, header, seal, self._reread))
        self._tails[series] = tail
        return tail.count

    def unsealed(self) -> list[Unsealed]:
        """Return how many readings at the end of each series no seal protects yet."""
        if not self.has_tables():
            return []
        with faults.reading():
            return unsealed_in(self.connection, self.registry)

    @property
    def can_take_over(self) -> bool:
        """Whether another window writes, so that this one may once that is gone."""
        return self._take is not None

    def take_over(self) -> bool:
        """Write from now on where another window did and is gone; return whether that came about now.

        Where it is not gone, or nobody could write, ``read_only_because`` says so.
        """
        if self._take is None:
            return False
        try:
            lock = self._take()
        except ReadOnly as error:
            self._because = str(error)
            return False
        self._disconnect()
        self._lock, self._because, self._take = lock, "", None
        with faults.reading():
            self._connect()
        return True

    def close(self) -> None:
        """Let the log go."""
        self._take = None
        if self._connection is not None:
            self._connection.close()
            self._connection = None
        if self._lock is not None:
            self._lock.close()
            self._lock = None
        self._because = self._because or "the logbook was closed"

    @contextmanager
    def _writing(self, look: Callable[[sqlite3.Connection], str]) -> Iterator[sqlite3.Connection]:
        """One durable transaction; after a disk error, ``look`` tells what is in the file all the same."""
        if self._because:
            raise ReadOnly(f"nothing was stored: {self._because}")
        committing = False
        try:
            connection = self.connection
            self._make_tables(connection)
            connection.execute("BEGIN IMMEDIATE")
            yield connection
            committing = True
            connection.execute("COMMIT")
        except faults.FAULTS as error:
            self._roll_back()
            if faults.is_disk_fault(error):
                raise self._after_disk_fault(error, look) from error
            raise faults.refused(error, reading=committing) from error
        except BaseException:
            self._roll_back()
            raise

    def _roll_back(self) -> None:
        if self._connection is not None and self._connection.in_transaction:
            try:
                self._connection.execute("ROLLBACK")
            except sqlite3.Error:
                # the journal rolls it back when the file is opened again
                self._disconnect()

    def _after_disk_fault(self, error: faults.Fault, look: Callable[[sqlite3.Connection], str]) -> NotConfirmed:
        """Open the file again and say what is in it: an entry can be stored although its commit reported an error."""
        what, cure = faults.disk_words(error)
        self._disconnect()
        try:
            connection = self.connection
            there = look(connection) if self._version else ""
        except (*faults.FAULTS, CommissionError) as second:
            self._disconnect()
            return NotConfirmed(
                f"{what}, and the logbook cannot be read again ({faults.one_line(second)}). "
                f"{cure[:1].upper()}{cure[1:]}, start the program again. See whether the entry is there before you "
                "type it again"
            )
        if there:
            return NotConfirmed(
                f"{what}, but {there} in the logbook: do not type that again; {cure}, then look whether it "
                "is still there"
            )
        return faults.not_stored(error)

    # The connection

    @property
    def connection(self) -> sqlite3.Connection:
        """The connection, opened again where a disk error made that necessary; for this package only."""
        if self._connection is None:
            self._connect()
        assert self._connection is not None
        return self._connection

    def _connect(self) -> None:
        connection = connect_for_reading(self.path) if self._lock is None else connect_for_writing(self.path)
        with faults.on_error(connection.close):
            self._version = version_of(connection)
            (self._data_version,) = connection.execute("PRAGMA data_version").fetchone()
        if self._version:
            only_add(connection)
        self._connection = connection
        self._openings += 1

    def _disconnect(self) -> None:
        self._tails.clear()
        self._watch.forget()
        if self._connection is not None:
            self._connection.close()
            self._connection = None

    def has_tables(self) -> bool:
        """Return whether the file has been written to at all; a new one stays empty until the first entry."""
        if self._version == 0:
            with faults.reading():
                self._version = version_of(self.connection)
        return self._version > 0

    def _make_tables(self, connection: sqlite3.Connection) -> None:
        if not self.has_tables():
            bring_up_to_date(connection)
            self._version = SCHEMA_VERSION
            only_add(connection)
