"""What was known of a build on an earlier day, with what was noted later about that day."""

from collections.abc import Sequence

from commission.record.done_at import done_ms
from commission.record.face import Registry
from commission.record.fold import BuildState, fold_build, withdrawn_numbers
from commission.record.logged import Logged


def state_at(registry: Registry, build_id: str, entries: Sequence[Logged], at_ms: int) -> BuildState:
    """Return the state of a build at a moment.

    Parameters
    ----------
    build_id
        Id of the build.
    entries
        All its entries, in order.
    at_ms
        The moment [ms since 1970 UTC]; what was seen in this very millisecond counts.

    Returns
    -------
    BuildState
        The fold of what was seen by then. An entry that was withdrawn later was wrong then too and does not count; an
        entry that was typed later, about something seen by then, does.
    """
    gone = withdrawn_numbers(entries)
    seen = [entry for entry in entries if entry.seq not in gone and done_ms(entry) <= at_ms]
    return fold_build(registry, build_id, seen)
