"""One attempt at a stage that has no readings of its own: its cautions, its steps, its end."""

from typing import cast

from commission.base.frozen import Frozen
from commission.base.verdict import Outcome
from commission.record.logged import Logged
from commission.record.machine.loop import LoopVolume
from commission.record.payload import Ending


class StageRun(Frozen):
    """Everything the log says of one attempt at a stage."""

    attempt: int = 1
    """Which attempt, from 1."""
    acknowledged: frozenset[str] = frozenset()
    """Cautions that were read and answered."""
    printed: frozenset[str] = frozenset()
    """Cautions that were only printed, on a command line."""
    steps: tuple[str, ...] = ()
    """Steps reported done, in order."""
    started: Logged | None = None
    """The first entry that shows work at it; None before."""
    closed: Logged | None = None
    """The entry that ended and judged it; None while it goes on."""
    volume: LoopVolume | None = None
    """Volume of the loop that it was judged by; None where its verdict rests on none, or nobody knew."""
    stale_by: int | None = None
    """The later entry that took away its worth; None where there is none."""

    @property
    def running(self) -> bool:
        """Whether it was begun and not ended."""
        return self.started is not None and self.closed is None

    @property
    def outcome(self) -> Outcome | None:
        """What it proved; None while it goes on."""
        # only a kind among the ends of a stage closes an attempt, and each of them carries a verdict
        return None if self.closed is None else cast(Ending, self.closed.payload).verdict.outcome
