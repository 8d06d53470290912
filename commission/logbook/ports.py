"""What the logbook needs from outside: a log to write in, and a clock.

Classes elsewhere fit these by shape; nothing inherits from them.
"""

from dataclasses import dataclass
from typing import Protocol

from commission.domain.clock import ClockMark
from commission.domain.logged import Draft, Head, Logged, Problem, Sample, SampleColumns, Seal


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
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

    def entries(self, build: str | None = None) -> list[Logged]:
        """Return the entries in order: all of them, or those of one build or stream."""

    def entry(self, seq: int) -> Logged | None:
        """Return one entry by its number, or None."""

    def entries_of_kind(self, kind: str) -> list[Logged]:
        """Return the entries of one kind, of all builds, in order."""

    def add_samples(self, series: str, samples: list[Sample]) -> int:
        """Store samples at the end of a series in one durable transaction and return how many it now holds."""

    def samples(self, series: str) -> SampleColumns:
        """Return the samples of a series as columns."""

    def last_sample(self, series: str) -> Sample | None:
        """Return the last sample of a series, or None."""

    def seal(self, series: str) -> Seal:
        """Return the count and the digest of a series as it stands."""

    def head(self) -> Head:
        """Return the end of the chain."""

    def changed(self) -> bool:
        """Return whether another process has written since this was last asked."""

    def verify(self) -> list[Problem]:
        """Check integrity, guards, chain and sealed series; an empty list means that all is sound."""

    def close(self) -> None:
        """Let the log go."""
