"""What was read of the log is kept and grows by what is new, so that one answer folds one entry and not the build.

It is no second truth: it lives as long as the program, is never stored, and is thrown away whenever anybody else may
have written to the file. Then everything is read, checked and folded again.
"""

from commission.base.frozen import Frozen, replace
from commission.record.face import Registry
from commission.record.fold import BuildState, fold_further, fresh_build
from commission.record.logged import Logged
from commission.record.ports import EntryLog


class _Stream(Frozen):
    mark: object
    """How the file stood when this was begun."""
    entries: tuple[Logged, ...]
    """What was read since."""
    state: BuildState | None = None
    """What the first of them add up to; None where nobody asked for it."""
    folded: int = 0
    """How many of them it knows."""

    @property
    def last(self) -> int:
        """Number of the last entry; 0 where there is none."""
        return self.entries[-1].seq if self.entries else 0


class Kept:
    """Entries of builds and of kinds, and the states of builds; a copy shares them, as none of them ever changes.

    Parameters
    ----------
    registry
        The stages that fold their entries.
    """

    def __init__(self, registry: Registry) -> None:
        self._registry = registry
        self._builds: dict[str, _Stream] = {}
        self._kinds: dict[str, _Stream] = {}

    def __deepcopy__(self, memo: dict[int, object]) -> "Kept":
        """Return a keeper of its own with the same things in it."""
        copied = Kept(self._registry)
        copied._builds |= self._builds
        copied._kinds |= self._kinds
        return copied

    def entries(self, log: EntryLog, build: str) -> tuple[Logged, ...]:
        """Return the entries of a build or stream, in order; raises what the log raises."""
        return self._stream(log, build).entries

    def of_kind(self, log: EntryLog, kind: str) -> tuple[Logged, ...]:
        """Return the entries of a kind, of all builds, in order; raises what the log raises."""
        mark = log.outside_mark()
        kept = self._kinds.get(kind)
        if kept is None or kept.mark != mark:
            kept = _Stream(mark=mark, entries=tuple(log.entries_of_kind(kind)))
        elif new := log.entries_of_kind(kind, after=kept.last):
            kept = replace(kept, entries=(*kept.entries, *new))
        self._kinds[kind] = kept
        return kept.entries

    def state(self, log: EntryLog, build: str) -> BuildState:
        """Return the state of a build; raises what the log raises."""
        kept = self._stream(log, build)
        if kept.state is not None and kept.folded == len(kept.entries):
            return kept.state
        before = kept.state or fresh_build(self._registry, build)
        state = fold_further(self._registry, before, kept.entries, kept.entries[kept.folded :])
        self._builds[build] = replace(kept, state=state, folded=len(kept.entries))
        return state

    def _stream(self, log: EntryLog, build: str) -> _Stream:
        # the mark is taken first: what is written between the two looks is found at the next
        mark = log.outside_mark()
        kept = self._builds.get(build)
        if kept is None or kept.mark != mark:
            kept = _Stream(mark=mark, entries=tuple(log.entries(build)))
        elif new := log.entries(build, after=kept.last):
            kept = replace(kept, entries=(*kept.entries, *new))
        self._builds[build] = kept
        return kept
