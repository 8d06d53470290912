"""The record as it stood when an entry was the last: for a report that can be made again."""

from collections.abc import Collection, Sequence

from commission.base.clock import ClockMark
from commission.base.errors import ReadOnly, UnknownName
from commission.record.logbook import Logbook
from commission.record.logged import Draft, Head, Logged, Problem, Sample, SampleColumns, Seal, Unsealed
from commission.record.still_log import StillLog

WHY = "this is the record of an earlier moment"


def book_up_to(book: Logbook, seq: int) -> Logbook:
    """Return a logbook that ends with an entry, at the moment of that entry; it can only be read.

    Raises
    ------
    UnknownName
        If there is no such entry.
    """
    last = book.log.entry(seq)
    if last is None:
        raise UnknownName(f"there is no entry {seq}; the last is {book.head().seq}")
    return Logbook(_UpTo(book, last), _At(last.mark), registry=book.registry, procedure_toml="", program=book.program)


class _At:
    """A clock that stands still."""

    def __init__(self, mark: ClockMark) -> None:
        self._mark = mark

    def now(self) -> ClockMark:
        return self._mark


class _UpTo(StillLog):
    """A log without what came after an entry; the samples are all there, so it is for builds that stream none.

    What the logbook has read is taken from there, and looked at once: what stood before an entry never changes.
    """

    read_only_because = WHY

    def __init__(self, book: Logbook, last: Logged) -> None:
        self._book = book
        self._log = book.log
        self._last = last
        self._builds: dict[str, list[Logged]] = {}
        self._kinds: dict[str, list[Logged]] = {}

    def append(self, draft: Draft) -> Logged:
        raise ReadOnly(f'nothing was stored: {WHY}; "{draft.payload.KIND}" does not fit in there')

    def entries(self, build: str | None = None, *, after: int = 0) -> list[Logged]:
        if build is None:
            return self._cut(self._log.entries(after=after))
        if build not in self._builds:
            self._builds[build] = self._cut(self._book.entries(build))
        return [entry for entry in self._builds[build] if entry.seq > after]

    def entry(self, seq: int) -> Logged | None:
        return self._log.entry(seq) if seq <= self._last.seq else None

    def entries_of_kind(self, kind: str, *, after: int = 0) -> list[Logged]:
        if kind not in self._kinds:
            self._kinds[kind] = self._cut(self._book.entries_of_kind(kind))
        return [entry for entry in self._kinds[kind] if entry.seq > after]

    def last_of_kind(self, kind: str, *, count: int, skip: int = 0) -> list[Logged]:
        return self.entries_of_kind(kind)[::-1][skip : skip + count]

    def count_of_kind(self, kind: str) -> int:
        return len(self.entries_of_kind(kind))

    def begun_since(self, begun: str, ended: Sequence[str], gone: Collection[int]) -> list[str]:
        kinds = {begun, *ended}
        found = (entry for entry in self.entries() if entry.payload.KIND in kinds and entry.seq not in gone)
        last = {entry.build: entry for entry in found}
        return [b for b, e in sorted(last.items(), key=lambda one: one[1].seq) if begun == e.payload.KIND]

    def outside_mark(self) -> object:
        return self._log.outside_mark()

    def unsealed(self) -> list[Unsealed]:
        return self._log.unsealed()

    def samples(self, series: str) -> SampleColumns:
        return self._log.samples(series)

    def last_sample(self, series: str) -> Sample | None:
        return self._log.last_sample(series)

    def seal(self, series: str) -> Seal:
        return self._log.seal(series)

    def head(self) -> Head:
        return Head(seq=self._last.seq, digest=self._last.digest)

    def verify(self, known: Head | None = None) -> list[Problem]:
        return self._log.verify(known)

    def _cut(self, entries: Sequence[Logged]) -> list[Logged]:
        return [entry for entry in entries if entry.seq <= self._last.seq]
