"""What the logbook needs from outside: a log to write in, and a clock.

Classes elsewhere fit these by shape; nothing inherits from them.
"""

from collections.abc import Callable, Collection, Sequence
from typing import Any, Protocol, TypeVar

from commission.base.clock import ClockMark
from commission.base.frozen import Frozen
from commission.record.logged import Draft, Head, Logged, Problem, Sample, SampleColumns, Seal, Unsealed
from commission.record.payload import Payload

W = TypeVar("W")


class Machine(Frozen):
    """What the program runs on, as the entry of each session names it; told from outside, never looked up here."""

    sqlite: str = ""
    """Version of the SQLite library."""
    python: str = ""
    """Version of Python."""
    system: str = ""
    """Operating system and its release."""


class Clock(Protocol):
    """Three clocks, read together."""

    def now(self) -> ClockMark:
        """Return the clocks at this moment."""


class Working(Protocol):
    """A record as far as a stage asks it for its own work."""

    def work(self, cls: Callable[[Any], W]) -> W:
        """Return the use cases of a stage by their class, made of the record."""


class EntryLog(Protocol):
    """An append-only log of entries, with the streamed samples beside it."""

    @property
    def read_only_because(self) -> str:
        """Why nothing can be written, in one line; empty where it can."""

    def append(self, draft: Draft) -> Logged:
        """Store an entry durably and return it; the same uid with the same content is stored once.

        Raises
        ------
        ReadOnly
            If the log cannot be written.
        NotConfirmed
            If the disk reported an error: look whether it is there before typing it again.
        """

    def entries(self, build: str | None = None, *, after: int = 0) -> list[Logged]:
        """Return the entries with a number above one, in order: all of them, or those of one build or stream."""

    def entry(self, seq: int) -> Logged | None:
        """Return one entry by its number, or None."""

    def entries_of_kind(self, kind: str, *, after: int = 0) -> list[Logged]:
        """Return the entries of one kind with a number above one, of all builds, in order."""

    def last_of_kind(self, kind: str, *, count: int, skip: int = 0) -> list[Logged]:
        """Return so many entries of one kind from the end, the last first, after skipping some."""

    def count_of_kind(self, kind: str) -> int:
        """Return how many entries of one kind there are."""

    def begun_since(self, begun: str, ended: Sequence[str], gone: Collection[int]) -> list[str]:
        """Return the builds with an entry of a kind after their last end, in the order in which that came.

        ``gone``: numbers of the entries that were withdrawn; an end among them does not count.
        """

    def outside_mark(self) -> object:
        """Return a mark that is another one whenever anybody but this log may have changed what it read before."""

    def add_samples(
        self,
        series: str,
        samples: list[Sample],
        *,
        stamp: Callable[[Payload], Draft] | None = None,
        header: str = "",
        seal: bool = False,
    ) -> int:
        """Store samples at the end of a series in one durable transaction and return how many it now holds.

        With ``stamp`` given, the same transaction stores the entries that are due about the series: its header row,
        and a seal; ``seal``: do not wait until one is due.

        Raises
        ------
        Damaged
            If the samples without a seal are not those that were stored.
        """

    def unsealed(self) -> list[Unsealed]:
        """Return how many readings at the end of each series no seal protects yet."""

    def samples(self, series: str) -> SampleColumns:
        """Return the samples of a series as columns; raises Damaged where they are not as they were sealed."""

    def last_sample(self, series: str) -> Sample | None:
        """Return the last sample of a series, or None."""

    def seal(self, series: str) -> Seal:
        """Return the count and the digest of a series as it stands; raises Damaged like ``samples``."""

    def head(self) -> Head:
        """Return the end of the chain."""

    def changed(self) -> bool:
        """Return whether another process has written since this was last asked."""

    @property
    def can_take_over(self) -> bool:
        """Whether another window writes, so that this one may once that is gone."""

    def take_over(self) -> bool:
        """Write from now on where another window did and is gone; return whether that came about now."""

    def verify(self, known: Head | None = None) -> list[Problem]:
        """Check integrity, guards, chain and sealed series; an empty list means that all is sound.

        ``known``: a head that was written down outside the log; it must be in the chain.
        """

    def close(self) -> None:
        """Let the log go."""
