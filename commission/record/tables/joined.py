"""Tables that join kinds: every entry, every verdict with what took its worth, every defect with its repair."""

from collections.abc import Iterator, Mapping

from commission.record.face import Registry
from commission.record.payload import Payload, kind_shown
from commission.record.table import COMMON, Cell, Column, Holds, Source, Table, instant
from commission.record.tables.source import builds_of
from commission.record.unknown import Unknown
from commission.units.show import say


def entries_table(registry: Registry, source: Source) -> Table:
    """Return the table of all entries, those of unknown kinds too."""
    columns = (*COMMON, Column("entered"), Column("operator"), Column("kind"), Column("shown"), Column("says"))
    more = (Column("build_id"), Column("uid"), Column("digest"))
    return Table(name="entries", columns=(*columns, *more), rows=_entries(registry, source))


def _entries(registry: Registry, source: Source) -> Iterator[tuple[Cell, ...]]:
    names = registry.names([one.entry for one in source.marked])
    for one in source.marked:
        entry = one.entry
        entered = instant(entry.mark.wall_ms, entry.mark.offset_min)
        what = (entered, entry.operator, *_told(registry, entry.payload, names))
        yield (*one.common, *what, entry.build, entry.uid, entry.digest)


def _told(registry: Registry, payload: Payload, names: Mapping[str, str]) -> tuple[str, str, str]:
    """Return the word of an entry in the log, the one it is shown by, and what it says; of an unknown one its JSON."""
    from commission.record.entry_text import entry_text

    if isinstance(payload, Unknown):
        return payload.word, payload.word, payload.text
    return payload.KIND, kind_shown(payload), entry_text(registry, payload, names=names)


def verdicts_table(registry: Registry, source: Source) -> Table:
    """Return the table of all attempts that were ended and judged."""
    columns = (*COMMON, Column("stage"), Column("attempt", Holds.WHOLE), Column("outcome"))
    more = (Column("stale_since", Holds.WHOLE), Column("reason"))
    return Table(name="verdicts", columns=(*columns, *more), rows=_verdicts(registry, source))


def _verdicts(registry: Registry, source: Source) -> Iterator[tuple[Cell, ...]]:
    for state, marked in builds_of(registry, source):
        ended = [
            (run.closed.seq, stage, run) for stage, runs in state.runs.items() for run in runs if run.closed is not None
        ]
        for seq, stage, run in sorted(ended, key=lambda one: one[0]):
            reasons = getattr(getattr(marked[seq].entry.payload, "verdict", None), "reasons", ())
            reason = say(reasons[0]) if reasons else None
            yield (*marked[seq].common, stage, run.attempt, str(run.outcome), run.stale_by, reason)


def defects_table(registry: Registry, source: Source) -> Table:
    """Return the table of all defects that count, whichever stage found them."""
    columns = (*COMMON, Column("stage"), Column("where"), Column("found"), Column("repaired"))
    more = (Column("repaired_by", Holds.WHOLE), Column("proved_by_attempt", Holds.WHOLE))
    return Table(name="defects", columns=(*columns, *more), rows=_defects(registry, source))


def _defects(registry: Registry, source: Source) -> Iterator[tuple[Cell, ...]]:
    for state, marked in builds_of(registry, source):
        for one in state.findings:
            found = (one.raised.stage, one.raised.where, one.raised.note, one.cure or None)
            yield (*marked[one.seq].common, *found, one.cured_at, one.proved_by)


def seats_table(registry: Registry, source: Source) -> Table:
    """Return the table of what sat on which header, from when and until when."""
    columns = (*COMMON, Column("chain"), Column("header"), Column("until"), Column("why"))
    return Table(name="seats", columns=columns, rows=_seats(registry, source))


def _seats(registry: Registry, source: Source) -> Iterator[tuple[Cell, ...]]:
    for state, marked in builds_of(registry, source):
        plugged = state.plugged
        moves = sorted(plugged.moves, key=lambda move: (move.at_ms, move.seq))
        for number, move in enumerate(moves):
            chain, header = plugged.chain(move.chain_id), plugged.header(move.header_id)
            later = next((one for one in moves[number + 1 :] if one.chain_id == move.chain_id), None)
            one = marked[move.seq]
            until = None if later is None else instant(later.at_ms, one.entry.mark.offset_min)
            names = (None if chain is None else chain.name, None if header is None else header.name)
            yield (*one.common, *names, until, move.why)
