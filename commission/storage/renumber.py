"""Entries under other numbers: in another logbook they stand in another place, and so does what they name."""

from bisect import bisect_right
from collections.abc import Iterable, Iterator

from commission.base.frozen import Frozen
from commission.record.admission_rules import refuse_runs
from commission.record.entries import EntriesTakenOver, TakenRun
from commission.record.face import Registry
from commission.record.logged import Head, Logged
from commission.storage.canonical import canonical, parse_json


class Numbers:
    """Which number each entry of one logbook has in another, as far as they were taken over."""

    def __init__(self) -> None:
        self._there: list[int] = []
        self._here: dict[int, int] = {}
        self._upto: list[int] = []

    def put(self, there: int, here: int) -> None:
        """Say the number of the next entry, in the order of the logbook that it comes from."""
        self._there.append(there)
        self._here[there] = here
        self._upto.append(max(here, self._upto[-1] if self._upto else 0))

    def get(self, there: int) -> int:
        """Return the number of an entry; of one that was not taken over, of the last that stands here before it."""
        if there in self._here:
            return self._here[there]
        before = bisect_right(self._there, there)
        return self._upto[before - 1] if before else 0


def renumbered(text: str, seq: int, numbers: Numbers, registry: Registry) -> str:
    """Return the sealed text of an entry as it is under another number, with the numbers that it names.

    Nothing else of it is changed: what a version before did not write yet is not added.
    """
    body = parse_json(text)
    assert isinstance(body, dict)  # it was read as an entry before
    kind = registry.kinds.get(body["kind"])
    body["seq"] = seq
    for name in getattr(kind, "NUMBERS", ()):
        body["payload"][name] = numbers.get(body["payload"][name])
    return canonical(body)


class Origin(Frozen, kw_only=False):
    """Where an entry stood first."""

    head: int
    """Last entry of the logbook that it was taken from."""
    digest: str
    """Digest of that one."""
    seq: int
    """Its number there."""


def origins(head: Head, entries: Iterable[Logged]) -> Iterator[Origin]:
    """Yield where each entry of a logbook stood first: there, or where it was taken over from before.

    Raises NotAllowed where it says so of entries that are not before it.
    """
    entries = list(entries)
    known = {}
    for entry in entries:
        over = entry.payload
        if isinstance(over, EntriesTakenOver):
            refuse_runs(entry.seq, over)
            for run in over.runs:
                for step in range(run.count):
                    known[run.here + step] = Origin(over.head, over.digest, run.there + step)
    for entry in entries:
        yield known.get(entry.seq) or Origin(head.seq, head.digest, entry.seq)


def taken_over(taken: Iterable[tuple[int, Origin]]) -> list[EntriesTakenOver]:
    """Return what is recorded of entries, each with its number here and where it stood first: one a logbook."""
    of: dict[tuple[int, str], list[TakenRun]] = {}
    for here, origin in taken:
        runs = of.setdefault((origin.head, origin.digest), [])
        last = runs[-1] if runs else None
        if last is not None and (last.here + last.count, last.there + last.count) == (here, origin.seq):
            runs[-1] = TakenRun(here=last.here, there=last.there, count=last.count + 1)
        else:
            runs.append(TakenRun(here=here, there=origin.seq, count=1))
    return [EntriesTakenOver(head=head, digest=digest, runs=tuple(runs)) for (head, digest), runs in of.items()]
