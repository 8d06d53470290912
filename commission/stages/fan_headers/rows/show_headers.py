"""Headers, chains and sweeps of a build as plain lines: what sits where, what the sweeps proved, the duties."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.text import counted
from commission.bench.attempts import ended_lines, phrase_lines
from commission.bench.moment import moment
from commission.procedure.stage_ids import FAN_HEADERS
from commission.stages.fan_headers.rows.duties import duty_rows
from commission.stages.fan_headers.rows.headers_text import seats_lines, seats_of
from commission.stages.fan_headers.rows.sweep import beside, figures_of
from commission.stages.fan_headers.state import FanHeadersState
from commission.stages.fan_headers.work.fan_headers import FanHeaders

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from commission.bench.card import Fact
    from commission.record.build_state import BuildState
    from commission.record.logbook import Logbook
    from commission.record.machine.plugged import Plugged
    from commission.stages.fan_headers.model.sweep import SweepReading
    from commission.stages.fan_headers.state import TakenSweep


def headers_lines(book: Logbook, state: BuildState) -> Iterator[Fact]:
    """Yield the facts about headers, chains and sweeps; nothing where none was ever written down."""
    plugged, swept = state.plugged, state.of(FanHeadersState)
    if not (plugged.headers or plugged.chains or plugged.gone_headers or plugged.gone_chains):
        return
    yield from seats_lines(seats_of(book, state))
    yield from _sweeps(book, state)
    if swept.layout is not None:
        seats = ", ".join(f"{seat.chain} on {seat.header}" for seat in swept.layout.seats)
        yield f"layout chosen: {seats}; {swept.layout.cost} cm of cable and penalties"
    if swept.duties:
        yield from _duties(book, state)
    yield from _judged(book, state)
    yield from ended_lines(state, FAN_HEADERS)


def _sweeps(book: Logbook, state: BuildState) -> Iterator[Fact]:
    swept, plugged = state.of(FanHeadersState), state.plugged
    offsets = {entry.seq: entry.mark.offset_min for entry in book.entries(state.build_id)}
    for number, sweep in enumerate(swept.sweeps, 1):
        yield from _sweep(plugged, number, sweep, moment(sweep.at_ms, offsets[sweep.seq]))
    for one in swept.aborted:
        where = plugged.seat_said(one.at_hand.begun.chain_id, one.at_hand.begun.header_id)
        yield f"sweep aborted: {where}, {_read(one.at_hand.readings)}; {one.why}"
    if swept.sweeping is not None:
        begun, read = swept.sweeping.begun, len(swept.sweeping.readings)
        yield f"sweep running: {plugged.seat_said(begun.chain_id, begun.header_id)}, {counted(read, 'reading')} so far"


def _sweep(plugged: Plugged, number: int, sweep: TakenSweep, when: str) -> Iterator[Fact]:
    taken, name = sweep.taken, f"sweep {number}"
    verdict = taken.verdict
    stale = f"; STALE since entry {sweep.stale_by}" if sweep.stale_by is not None else ""
    where = plugged.seat_said(taken.chain_id, taken.header_id)
    read = counted(len(taken.sweep.readings), "reading")
    yield f"{name}: {where}: {verdict.said} ({verdict.outcome}), {read}, {when}{stale}"
    for figure in figures_of(verdict):
        yield figure.of(name)
    yield from (f"{name} remark: {said}" for said in beside(taken))
    yield from phrase_lines(f"{name} reason", verdict.reasons)
    yield from phrase_lines(f"{name} remark", verdict.findings)
    yield from phrase_lines(f"{name} possible cause", verdict.causes)


def _duties(book: Logbook, state: BuildState) -> Iterator[Fact]:
    plan = book.work(FanHeaders).duty_plan(state)
    for row in duty_rows(plan):
        yield row.of("duty")
    yield from phrase_lines("duty warning", plan.warnings)
    yield from phrase_lines("duty note", plan.notes)


def _judged(book: Logbook, state: BuildState) -> Iterator[str]:
    verdict = book.work(FanHeaders).verdict(state)
    yield f"fan headers verdict so far: {verdict.outcome}"
    yield from phrase_lines("fan headers reason", verdict.reasons)


def _read(readings: Sequence[SweepReading]) -> str:
    """Return what was read in a sweep, in one line.

    >>> from commission.stages.fan_headers.model.sweep import SweepReading
    >>> _read([SweepReading(duty_pct=60.0, rpm=900.0), SweepReading(duty_pct=40.0, rpm=None)])
    '2 readings: 60 % 900 rpm, 40 % no speed'
    """
    each = (f"{one.duty_pct:g} % {'no speed' if one.rpm is None else f'{one.rpm:g} rpm'}" for one in readings)
    return ": ".join(filter(None, (counted(len(readings), "reading"), ", ".join(each))))
