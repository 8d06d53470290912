"""A log in a plain list and a clock that is wound by hand, for tests that need no file."""

import copy
import functools
import hashlib
import math
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, field
from typing import ParamSpec, TypeVar

from commission.base.clock import ClockMark
from commission.base.errors import ReadOnly
from commission.procedure.load import default_toml
from commission.record.logbook import Logbook
from commission.record.logged import Draft, Head, Logged, Problem, Sample, SampleColumns, Seal, Unsealed
from commission.record.payload import Payload
from commission.record.ports import Machine
from tests.registered import REGISTRY

P = ParamSpec("P")
T = TypeVar("T")

START_MS = 1_790_000_000_000
"""2026-09-21 14:13:20 UTC."""


@dataclass
class HandClock:
    """A clock that moves only when told."""

    wall_ms: int = START_MS
    mono_ms: int = 1_000_000
    boot_ms: int | None = 1_000_000
    boot_id: str = "first start"

    def now(self) -> ClockMark:
        return ClockMark(
            wall_ms=self.wall_ms, offset_min=60, mono_ms=self.mono_ms, boot_ms=self.boot_ms, boot_id=self.boot_id
        )

    def run(self, seconds: float) -> None:
        """Let time go by."""
        self.wall_ms += round(seconds * 1000)
        self.mono_ms += round(seconds * 1000)
        if self.boot_ms is not None:
            self.boot_ms += round(seconds * 1000)

    def sleep(self, seconds: float) -> None:
        """Let the computer sleep: the monotonic clock stands still."""
        mono = self.mono_ms
        self.run(seconds)
        self.mono_ms = mono

    def step_wall(self, seconds: float) -> None:
        """Set the wall clock."""
        self.wall_ms += round(seconds * 1000)

    def restart(self, seconds: float) -> None:
        """Start the computer again, which takes some seconds."""
        self.wall_ms += round(seconds * 1000)
        self.mono_ms = self.boot_ms = 5_000
        self.boot_id += "+"


@dataclass
class ListLog:
    """Fits ``commission.record.ports.EntryLog`` by shape."""

    stored: list[Logged] = field(default_factory=list)
    streams: dict[str, list[Sample]] = field(default_factory=dict)
    read_only_because: str = ""
    by_uid: dict[str, Logged] = field(default_factory=dict)

    def append(self, draft: Draft) -> Logged:
        if self.read_only_because:
            raise ReadOnly(self.read_only_because)
        if len(self.by_uid) != len(self.stored):  # a test put some there by hand
            self.by_uid = {entry.uid: entry for entry in self.stored}
        if draft.uid in self.by_uid:
            return self.by_uid[draft.uid]
        previous = self.stored[-1].digest if self.stored else ""
        digest = hashlib.sha256(f"{previous}\n{draft!r}".encode()).hexdigest()
        entry = Logged(
            seq=len(self.stored) + 1,
            uid=draft.uid,
            build=draft.build,
            operator=draft.operator,
            mark=draft.mark,
            observed_ms=draft.observed_ms,
            payload=draft.payload,
            digest=digest,
        )
        self.stored.append(entry)
        self.by_uid[entry.uid] = entry
        return entry

    def entries(self, build: str | None = None, *, after: int = 0) -> list[Logged]:
        return [entry for entry in self.stored[after:] if build is None or entry.build == build]

    def entry(self, seq: int) -> Logged | None:
        return self.stored[seq - 1] if 1 <= seq <= len(self.stored) else None

    def entries_of_kind(self, kind: str, *, after: int = 0) -> list[Logged]:
        return [entry for entry in self.stored[after:] if entry.payload.KIND == kind]  # noqa: SIM300

    def last_of_kind(self, kind: str, *, count: int, skip: int = 0) -> list[Logged]:
        return self.entries_of_kind(kind)[::-1][skip : skip + count]

    def count_of_kind(self, kind: str) -> int:
        return len(self.entries_of_kind(kind))

    def begun_since(self, begun: str, ended: Sequence[str], gone: Collection[int]) -> list[str]:
        over: dict[str, int] = {}
        for entry in self.stored:
            if entry.payload.KIND in ended and entry.seq not in gone:
                over[entry.build] = entry.seq
        found = (entry for entry in self.entries_of_kind(begun) if entry.seq > over.get(entry.build, 0))
        return list(dict.fromkeys(entry.build for entry in found))

    can_take_over: bool = False

    def take_over(self) -> bool:
        return False

    def outside_mark(self) -> object:
        # nobody changes this list but by appending to it
        return None

    def add_samples(
        self,
        series: str,
        samples: list[Sample],
        *,
        stamp: Callable[[Payload], Draft] | None = None,
        header: str = "",
        seal: bool = False,
    ) -> int:
        # seals belong to the log on the disk; this one keeps the rows only
        if self.read_only_because:
            raise ReadOnly(self.read_only_because)
        self.streams.setdefault(series, []).extend(samples)
        return len(self.streams[series])

    def samples(self, series: str) -> SampleColumns:
        rows = self.streams.get(series, [])

        def column(value: Callable[[Sample], float | None]) -> list[float]:
            return [math.nan if value(row) is None else float(value(row) or 0.0) for row in rows]

        return SampleColumns(
            elapsed_s=column(lambda row: row.elapsed_s),
            pressure_pa=column(lambda row: row.pressure_pa),
            air_k=column(lambda row: row.air_k),
            barometer_pa=column(lambda row: row.barometer_pa),
        )

    def last_sample(self, series: str) -> Sample | None:
        return self.streams[series][-1] if self.streams.get(series) else None

    def seal(self, series: str) -> Seal:
        rows = self.streams.get(series, [])
        digest = hashlib.sha256(repr(rows).encode()).hexdigest() if rows else ""
        return Seal(count=len(rows), digest=digest)

    def head(self) -> Head:
        return Head(seq=len(self.stored), digest=self.stored[-1].digest if self.stored else "")

    def changed(self) -> bool:
        return False

    def verify(self, known: Head | None = None) -> list[Problem]:
        return []

    def unsealed(self) -> list[Unsealed]:
        return []

    def close(self) -> None:
        self.read_only_because = "closed"

    def __deepcopy__(self, memo: dict[int, object]) -> "ListLog":
        """Copy the lists and not what is in them: entries never change."""
        copied = copy.copy(self)
        copied.stored, copied.streams = [*self.stored], {k: [*v] for k, v in self.streams.items()}
        memo[id(self)] = copied
        return copied


@dataclass
class CountedIds:
    """Ids that are counted; a copy counts on by itself."""

    last: int = 0

    def __call__(self) -> str:
        self.last += 1
        return f"id{self.last}"


def built_once(make: Callable[P, T]) -> Callable[P, T]:
    """Let a builder work once for each set of arguments, and return a copy of what it made each time.

    A copy costs a thousandth of the typing that leads there. It may be changed at will: nobody else has it.
    """
    made: dict[object, T] = {}

    @functools.wraps(make)
    def copied(*args: P.args, **kwargs: P.kwargs) -> T:
        asked = (args, tuple(kwargs.items()))
        if asked not in made:
            made[asked] = make(*args, **kwargs)
        return copy.deepcopy(made[asked])

    return copied


def new_book(
    log: ListLog | None = None, clock: HandClock | None = None, *, procedure_toml: str = ""
) -> tuple[Logbook, ListLog, HandClock]:
    """Return a logbook on a plain list, with its log and its clock; ids are counted."""
    log = log or ListLog()
    clock = clock or HandClock()
    book = Logbook(
        log,
        clock,
        registry=REGISTRY,
        procedure_toml=procedure_toml or default_toml(),
        program="test",
        machine=lambda: Machine(sqlite="test", python="test", system="test"),
        new_id=CountedIds(),
    )
    return book, log, clock
