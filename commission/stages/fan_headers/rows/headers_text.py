"""What sits on which header as plain lines, one fact a line."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from commission.bench.card import Fact, with_remark
from commission.record.fold_at import state_at
from commission.stages.fan_headers.at_hand import load_text
from commission.stages.fan_headers.rows.board import chain_facts, chain_text, header_row, loose_row, swept_text
from commission.stages.fan_headers.rows.headers_json import SeatsTeller, plain_time
from commission.stages.fan_headers.work.fan_headers import FanHeaders
from commission.units.show import say

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook
    from commission.record.machine.seat_check import SeatCheck
    from commission.record.machine.seats import Chain, Header
    from commission.stages.fan_headers.rows.headers_json import ChainTold, HeaderTold, SeatsTold


class Seats(NamedTuple):
    """What sits where, and how each load stands to what its header may give."""

    told: SeatsTold
    """Everything, as plain data."""
    loads: Mapping[str, str]
    """In words what is drawn from each header that has something on it, by its name."""


def seats_of(book: Logbook, state: BuildState, at: tuple[int, int] | None = None) -> Seats:
    """Return what sits where in a build: now, or at an earlier moment.

    Parameters
    ----------
    at
        The moment [ms since 1970 UTC] with the local offset [min]; None for now.
    """
    stage = book.work(FanHeaders).stage(state)
    percent, factor = stage.limit("steady_percent"), stage.limit("start_factor")

    def check(chains: Sequence[Chain], header: Header) -> SeatCheck:
        from commission.record.machine.seat_check import check_seat

        return check_seat(chains, header, steady_percent=round(percent), start_factor=factor)

    entries = book.entries(state.build_id)
    then = state if at is None else state_at(book.registry, state.build_id, entries, at[0])
    teller = SeatsTeller(entries, then, state, check, say)
    loads = {
        header.name: load_text(check(chains, header), header, chains, percent, factor)
        for header, chains in teller.seated()
        if chains
    }
    return Seats(teller.told(state.name, at), loads)


def seats_lines(seats: Seats) -> Iterator[Fact]:
    """Yield what sits where."""
    told = seats.told
    if not told.headers and not told.remarks:
        yield "headers: none written down"
    for header in told.headers:
        yield from _header(header, seats.loads.get(header.name, ""))
    for chain in told.loose:
        since = f"since {plain_time(chain.since)}{_why(chain)}" if chain.since is not None else ""
        facts = chain_facts(chain.devices, chain.drive, pump=chain.pump)
        yield loose_row(chain.name, facts, bounds=_gone(chain), more=since)
        yield from _sweep(chain)
    for remark in told.remarks:
        yield f"remark: {remark}"


def _header(header: HeaderTold, load: str) -> Iterator[Fact]:
    chains = [chain.name for chain in header.chains]
    swept = [
        swept_text(chain.name, chain.sweep.said)
        for chain in header.chains
        if chain.sweep is not None and not chain.sweep.stale
    ]
    gone = _gone(header)
    yield with_remark(header_row(header, chains, load, swept), gone).of("header")
    for chain in header.chains:
        since = f" since {plain_time(chain.since)}" if chain.since is not None else ""
        yield f"on {header.name}: {chain_text(chain, _gone(chain))}{since}{_why(chain)}"
        yield from _sweep(chain)
    for sentence_against in header.against:
        yield f"against {header.name}: {sentence_against}"
    if header.let_be:
        yield f"let be on {header.name}: {header.let_be}"


def _gone(what: ChainTold | HeaderTold) -> str:
    return f"GONE since {plain_time(what.gone_since)}" if what.gone_since is not None else ""


def _why(chain: ChainTold) -> str:
    return f" ({chain.why})" if chain.why else ""


def _sweep(chain: ChainTold) -> Iterator[str]:
    swept = chain.sweep
    if swept is None:
        yield f"sweep of {chain.name}: none"
        return
    stale = "; STALE, plugged or set another way since" if swept.stale else ""
    where = f"on {swept.header}, {plain_time(swept.taken)}"
    yield f"sweep of {chain.name}: {swept.said} ({swept.outcome}) {where}{stale}"
