"""The record as it stood before each of its entries, one after the other: for what is done once more."""

import math
from bisect import bisect_right
from collections.abc import Callable, Collection, Iterator, Sequence
from contextlib import contextmanager, nullcontext

from commission.base.clock import ClockMark
from commission.base.frozen import replace
from commission.record.face import Registry
from commission.record.logged import Draft, Head, Logged, Problem, Sample, SampleColumns, Seal, Unsealed
from commission.record.payload import Payload
from commission.record.record import Record
from commission.record.still_log import StillLog


class SoFar:
    """A record that grows entry by entry, in which work is done once more; what that stores is kept aside.

    Parameters
    ----------
    registry, program
        The stages, and the version of the program.
    samples
        Returns the samples of a series, whole: a series is over before anything is judged by it.
    """

    def __init__(self, registry: Registry, program: str, samples: Callable[[str], SampleColumns]) -> None:
        self._log, self._clock = _SoFar(samples), _SetClock()
        self.book = Record(self._log, self._clock, registry=registry, procedure_toml="", program=program)
        """The record."""

    def grow(self, entry: Logged) -> None:
        """Take the next entry."""
        self._log.grow(entry)

    @contextmanager
    def before(self, entry: Logged) -> Iterator[list[Payload]]:
        """Give what is stored meanwhile, at the clocks of an entry, or when that was said to be done.

        Raises
        ------
        CommissionError
            If that time cannot be, or the work that is done refuses it.
        """
        self._clock.mark, self._log.aside = entry.mark, []
        face, past = self.book.registry.of(entry.payload), self.book.past
        own = face is not None and isinstance(entry.payload, face.placed)  # gives that time itself
        seen = None if own else entry.observed_ms
        with nullcontext() if seen is None else past.written_up(seen, begins=True):
            yield self._log.aside


def as_judged(entry: Logged, verdict: object) -> Logged:
    """Return an entry with another verdict in the place of its own."""
    payload: Payload = replace(entry.payload, verdict=verdict)  # type: ignore[type-var]
    return replace(entry, payload=payload)


def _seq(entry: Logged) -> int:
    return entry.seq


def _after(entries: list[Logged], seq: int) -> list[Logged]:
    return entries[bisect_right(entries, seq, key=_seq) :]


class _SoFar(StillLog):
    """A log that grows entry by entry; what is appended is kept aside and never counts."""

    def __init__(self, samples: Callable[[str], SampleColumns]) -> None:
        self._columns = samples
        self._read: tuple[str, SampleColumns] | None = None
        self._builds: dict[str, list[Logged]] = {}
        self._kinds: dict[str, list[Logged]] = {}
        self._last = Head(seq=0, digest="")
        self.aside: list[Payload] = []

    def grow(self, entry: Logged) -> None:
        """Take the next entry."""
        self._builds.setdefault(entry.build, []).append(entry)
        self._kinds.setdefault(entry.payload.KIND, []).append(entry)
        self._last = Head(seq=entry.seq, digest=entry.digest)

    def append(self, draft: Draft) -> Logged:
        self.aside.append(draft.payload)
        fields = {name: getattr(draft, name) for name in Draft.__struct_fields__}
        return Logged(seq=self._last.seq + 1, digest="", **fields)

    def entries(self, build: str | None = None, *, after: int = 0) -> list[Logged]:
        if build is not None:
            return _after(self._builds.get(build, []), after)
        every = (one for stream in self._builds.values() for one in _after(stream, after))
        return sorted(every, key=_seq)

    def entry(self, seq: int) -> Logged | None:
        return next((one for one in self.entries(after=seq - 1) if one.seq == seq), None)

    def entries_of_kind(self, kind: str, *, after: int = 0) -> list[Logged]:
        return _after(self._kinds.get(kind, []), after)

    def last_of_kind(self, kind: str, *, count: int, skip: int = 0) -> list[Logged]:
        return self.entries_of_kind(kind)[::-1][skip : skip + count]

    def count_of_kind(self, kind: str) -> int:
        return len(self.entries_of_kind(kind))

    def begun_since(self, begun: str, ended: Sequence[str], gone: Collection[int]) -> list[str]:
        found = [one for kind in (begun, *ended) for one in self.entries_of_kind(kind) if one.seq not in gone]
        last = {one.build: one for one in sorted(found, key=_seq)}
        return [one.build for one in sorted(last.values(), key=_seq) if begun == one.payload.KIND]

    def outside_mark(self) -> object:
        return None

    def unsealed(self) -> list[Unsealed]:
        return []

    def samples(self, series: str) -> SampleColumns:
        if self._read is None or self._read[0] != series:
            self._read = series, self._columns(series)
        return self._read[1]

    def last_sample(self, series: str) -> Sample | None:
        read = self.samples(series)
        if not len(read.elapsed_s):
            return None
        values = (read.pressure_pa[-1], read.air_k[-1], read.barometer_pa[-1])
        pressure_pa, air_k, barometer_pa = (None if math.isnan(value) else value for value in values)
        return Sample(
            elapsed_s=read.elapsed_s[-1],
            wall_ms=0,
            pressure_pa=pressure_pa,
            air_k=air_k,
            barometer_pa=barometer_pa,
            typed="",
        )

    def seal(self, series: str) -> Seal:
        return Seal(count=0, digest="")  # seals are compared where the record is looked through

    def head(self) -> Head:
        return self._last

    def verify(self, known: Head | None = None) -> list[Problem]:
        return []


class _SetClock:
    """A clock that shows what it is set to."""

    def __init__(self) -> None:
        self.mark = ClockMark(wall_ms=0, offset_min=0, mono_ms=0)

    def now(self) -> ClockMark:
        return self.mark
