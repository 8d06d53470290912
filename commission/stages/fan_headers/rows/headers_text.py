"""What sits on which header as plain lines, one fact a line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.shell.judged_files import sentence
from commission.stages.fan_headers.rows.headers_json import SeatsTeller, plain_time
from commission.stages.fan_headers.text import setting_text
from commission.stages.fan_headers.work.fan_headers import FanHeaders

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook
    from commission.record.machine.seat_check import SeatCheck
    from commission.record.machine.seats import Chain, Header
    from commission.shell.day_type import At
    from commission.stages.fan_headers.rows.headers_json import ChainTold, HeaderTold, SeatsTold


def seats_of(book: Logbook, state: BuildState, at: At | None = None) -> SeatsTold:
    """Return what sits where in a build: now, or at an earlier moment.

    Parameters
    ----------
    book
        The logbook.
    state
        The build as it is known now.
    at
        The moment; None for now.
    """
    from commission.record.fold_at import state_at

    def check(chains: Sequence[Chain], header: Header) -> SeatCheck:
        from commission.record.machine.seat_check import check_seat

        stage = book.work(FanHeaders).stage(state)
        percent, factor = round(stage.limit("steady_percent")), stage.limit("start_factor")
        return check_seat(chains, header, steady_percent=percent, start_factor=factor)

    entries = book.entries(state.build_id)
    then = state if at is None else state_at(book.registry, state.build_id, entries, at.ms)
    teller = SeatsTeller(entries, then, state, check, sentence)
    return teller.told(state.name, None if at is None else (at.ms, at.offset_min))


def seats_lines(told: SeatsTold) -> Iterator[str]:
    """Yield what sits where."""
    if not told.headers and not told.notes:
        yield "headers: none written down"
    for header in told.headers:
        yield from _header(header)
    for chain in told.loose:
        since = f" since {plain_time(chain.since)}{_why(chain)}" if chain.since is not None else ""
        yield f"on no header: {_chain(chain)}{since}"
        yield from _sweep(chain)
    for note in told.notes:
        yield f"note: {note}"


def _header(header: HeaderTold) -> Iterator[str]:
    setting = setting_text(header.set_to, full_speed_lock=header.full_speed_lock, stops=())
    rating = f"{header.rating_ma} mA{' (assumed)' if header.rating_assumed else ''}"
    place = f", {header.place}" if header.place else ""
    gone = f"; GONE since {plain_time(header.gone_since)}" if header.gone_since is not None else ""
    yield f"header: {header.name}{place}, {header.pins} pins, {rating}, {setting}{gone}"
    if not header.chains:
        yield f"on {header.name}: nothing"
        return
    for chain in header.chains:
        since = f" since {plain_time(chain.since)}" if chain.since is not None else ""
        yield f"on {header.name}: {_chain(chain)}{since}{_why(chain)}"
        yield from _sweep(chain)
    yield f"load of {header.name}: {header.steady_ma} of {header.rating_ma} mA steady, {header.start_ma} mA at start"
    for sentence_against in header.against:
        yield f"against {header.name}: {sentence_against}"
    if header.let_be:
        yield f"let be on {header.name}: {header.let_be}"


def _chain(chain: ChainTold) -> str:
    what = "pump" if chain.pump else "1 device" if chain.devices == 1 else f"{chain.devices} devices"
    gone = f", GONE since {plain_time(chain.gone_since)}" if chain.gone_since is not None else ""
    return f"{chain.name} ({what}, {chain.drive}{gone})"


def _why(chain: ChainTold) -> str:
    return f" ({chain.why})" if chain.why else ""


def _sweep(chain: ChainTold) -> Iterator[str]:
    swept = chain.sweep
    if swept is None:
        yield f"sweep of {chain.name}: none"
        return
    stale = "; STALE, plugged or set another way since" if swept.stale else ""
    where = f"on {swept.header}, {plain_time(swept.taken)}"
    yield f"sweep of {chain.name}: {swept.outcome} ({swept.verdict}) {where}{stale}"
