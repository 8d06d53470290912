"""What tables are made of, from the entries of a record."""

from collections.abc import Callable, Iterator, Sequence

from commission.record.entries import BuildOpened, Withdrawn
from commission.record.face import Registry
from commission.record.fold import BuildState, fold_build
from commission.record.logged import Logged
from commission.record.table import Marked, SampleRow, Source


def source_of(entries: Sequence[Logged], samples: Callable[[str], Iterator[SampleRow]]) -> Source:
    """Return what tables are made of, from all entries of a record in order."""
    names = {e.build: e.payload.name for e in entries if isinstance(e.payload, BuildOpened)}
    gone = {entry.payload.target: entry.seq for entry in entries if isinstance(entry.payload, Withdrawn)}
    marked = tuple(
        Marked(entry=entry, build=names.get(entry.build, ""), withdrawn_by=gone.get(entry.seq)) for entry in entries
    )
    return Source(marked=marked, samples=samples)


def builds_of(registry: Registry, source: Source) -> Iterator[tuple[BuildState, dict[int, Marked]]]:
    """Yield the state of each build and its entries by their numbers, in the order in which they were opened."""
    of: dict[str, list[Marked]] = {}
    for one in source.marked:
        of.setdefault(one.entry.build, []).append(one)
    for opened in source.of_kind(BuildOpened):
        own = of[opened.entry.build]
        state = fold_build(registry, opened.entry.build, [one.entry for one in own])
        yield state, {one.entry.seq: one for one in own}
