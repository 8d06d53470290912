"""A leak search as the log tells it: which suspects are left, and behind which of them to part the loop off next.

What stays on the gauge leaks where any of it leaks. So a loop that is tight as far as one suspect, and leaks as far as
the next, leaks at that next one, however many leaks there are; a try that is not clear says nothing.
"""

from commission.base.frozen import Frozen
from commission.record.logged import Logged
from commission.stages.pressure_hold.entries import SearchTried, TryWord


class Search(Frozen):
    """A search by parting off the loop."""

    suspects: tuple[str, ...]
    """Parts and joints from the gauge on, the test rig itself first; at least one."""
    tries: tuple[SearchTried, ...] = ()
    """Every try that counts, in order."""
    tried_seqs: tuple[int, ...] = ()
    """Numbers of their entries."""
    pumped: Logged | None = None
    """The entry that pumped the loop up for the try that goes on; None where none is."""

    @property
    def tight_to(self) -> int:
        """The farthest suspect as far as which the loop was tight; -1 where none is."""
        return max((self._place(one) for one in self._clear() if one.word is TryWord.TIGHT), default=-1)

    @property
    def leaks_to(self) -> int:
        """The nearest suspect as far as which the loop leaked; the last one leaked in the hold."""
        leaking = (self._place(one) for one in self._clear() if one.word is TryWord.LEAKS)
        return min(leaking, default=len(self.suspects) - 1)

    @property
    def left(self) -> tuple[str, ...]:
        """The suspects that are left; none where the tries contradict each other or all that was tried is tight."""
        return self.suspects[self.tight_to + 1 : self.leaks_to + 1]

    @property
    def found(self) -> str:
        """The one suspect that is left; empty where there is another number of them."""
        return self.left[0] if len(self.left) == 1 else ""

    @property
    def next_cut(self) -> str:
        """Behind which suspect to part off next: the middle of those left, tried least; empty where nothing helps."""
        tight, leaks = self.tight_to, self.leaks_to
        if leaks - tight < 2:
            return ""
        middle = tight + (leaks - tight) // 2
        cuts = range(tight + 1, leaks)
        return self.suspects[min(cuts, key=lambda cut: (self._unclear(cut), abs(cut - middle)))]

    def _place(self, tried: SearchTried) -> int:
        return self.suspects.index(tried.behind)

    def _clear(self) -> list[SearchTried]:
        """Return the last clear try behind each suspect."""
        return list({one.behind: one for one in self.tries if one.word is not TryWord.NOT_CLEAR}.values())

    def _unclear(self, cut: int) -> int:
        return sum(one.word is TryWord.NOT_CLEAR and self._place(one) == cut for one in self.tries)
