"""What sat on which header, how it was set and why, one change a row, for the report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.listing import Listing
from commission.bench.moment import moment
from commission.record.done_at import done_ms
from commission.record.entries import Withdrawn
from commission.record.payload import kind_shown
from commission.stages.fan_headers.entries import SeatEntry
from commission.stages.fan_headers.state import FanHeadersState
from commission.stages.fan_headers.text import headers_text, names_in

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook
    from commission.stages.fan_headers.state import TakenSweep

_CHANGE = ("entry", "seen", "kind", "what")
_LEVEL = ("sweep", "chain", "duty", "way", "readings", "median")


def headers_listings(book: Logbook, state: BuildState) -> Iterator[Listing]:
    """Yield the history of headers and chains, without what was withdrawn; nothing where none was written down."""
    entries = book.entries(state.build_id)
    gone = {entry.payload.target for entry in entries if isinstance(entry.payload, Withdrawn)}
    names = names_in(entries)
    rows = []
    for entry in entries:
        if isinstance(entry.payload, SeatEntry) and entry.seq not in gone:
            seen_ms = done_ms(entry)
            when = moment(seen_ms, entry.mark.offset_min)
            rows.append((str(entry.seq), when, kind_shown(entry.payload), headers_text(entry.payload, names=names)))
    if rows:
        yield Listing(caption="Headers and chains: every change, in order", columns=_CHANGE, rows=tuple(rows))
    swept = tuple(row for taken in state.of(FanHeadersState).sweeps for row in _levels(state, taken))
    if swept:
        yield Listing(caption="Sweeps: every duty, in order", columns=_LEVEL, rows=swept)


def _levels(state: BuildState, taken: TakenSweep) -> Iterator[tuple[str, ...]]:
    """Yield what was read at each duty of a sweep: the verdict rests on the median."""
    from commission.stages.fan_headers.judge.sweep_levels import visits_of

    chain = state.plugged.chain(taken.taken.chain_id)
    name = "a chain" if chain is None else chain.name
    for visit in visits_of(taken.taken.sweep):
        median = "no speed" if visit.median is None else f"{visit.median:.0f} rpm"
        yield str(taken.seq), name, f"{visit.duty_pct:g} %", str(visit.direction), str(len(visit.rpm)), median
