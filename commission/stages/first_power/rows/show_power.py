"""Power, headers and chains of a build as plain lines: supply, rungs, seats, sweeps, duties."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Phrase, Quantity
from commission.procedure.stage_ids import FAN_HEADERS, FIRST_POWER
from commission.shell.console import ascii_only
from commission.shell.judged_files import sentence
from commission.shell.moment import moment
from commission.shell.shown import shown
from commission.stages.fan_headers.entries import HeadersClosed
from commission.stages.fan_headers.rows.headers_text import seats_lines, seats_of
from commission.stages.first_power.entries import FirstPowerClosed
from commission.stages.first_power.text import machine_text, power_text

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook
    from commission.stages.first_power.entries import CableTested
    from commission.stages.first_power.model.rails import RailsVerdict
    from commission.stages.first_power.state.power import PowerState, TakenSweep


def power_lines(book: Logbook, state: BuildState) -> Iterator[str]:
    """Yield the facts about power, headers and chains; nothing where none was ever written down."""
    power = state.power
    if power.supply is not None or state.runs.get(FIRST_POWER):
        yield from _ladder(book, state)
        yield from _ended(state, FIRST_POWER, "first power")
    if power.headers or power.chains or power.gone_headers or power.gone_chains:
        yield from seats_lines(seats_of(book, state))
        yield from _sweeps(book, state)
        if power.layout is not None:
            seats = ", ".join(f"{seat.chain} on {seat.header}" for seat in power.layout.seats)
            yield f"layout chosen: {seats}; {power.layout.cost} cm of cable and penalties"
        if power.duties:
            yield from _duties(book, state)
        yield from _judged(book, state)
        yield from _ended(state, FAN_HEADERS, "fan headers")


# --- the ladder ---------------------------------------------------------------------------------------------------


def _ladder(book: Logbook, state: BuildState) -> Iterator[str]:
    power, verdict = state.power, book.power.verdict(state)
    if power.supply is not None:
        yield f"supply: {power_text(power.supply)}"
    for rung in verdict.rungs:
        locked = book.power.locked(state, rung.rung)
        why = f"; locked: {sentence(locked)}" if locked is not None and rung.outcome is None else ""
        yield f"rung {rung.rung}: {rung.outcome or 'not climbed'}{why}"
    made = power.supply.hand_made if power.supply is not None else ()
    for tested in power.cables:
        if tested.test.cable.name in made:
            yield from _cable(tested)
    if power.rails is not None:
        yield from _rails(power.rails)
    if power.power_good is not None:
        good = power.power_good
        yield f"PWR_OK: {good.delay_ms:g} ms, {good.word} ({good.outcome})"
    for fault in (*power.faults, *power.taken_back):
        done = f"done: {fault.done}" if fault.done else "NOT MENDED by the record: say what was done"
        yield f"failed before: {fault.what}: {sentence(Phrase('', fault.said, fault.amounts))} {done}"
    yield from _watch(book, state)
    if power.machine is not None:
        seen = f", {machine_text(power.started.start, ascii_only=ascii_only())}" if power.started is not None else ""
        yield f"machine: {power.machine.outcome}{seen}"
        yield from _phrases("machine reason", power.machine.reasons)
    yield f"first power verdict so far: {verdict.outcome}"
    yield from _phrases("first power reason", verdict.reasons)


def _cable(tested: CableTested) -> Iterator[str]:
    cable, verdict = tested.test.cable, tested.verdict
    yield f"cable {cable.name}: {verdict.outcome}, {verdict.wires_proven} of {len(cable.wires)} wires proven"
    name = f"cable {cable.name}"
    yield from _phrases(f"{name} fault", verdict.faults)
    yield from _phrases(f"{name} missing", verdict.missing)
    yield from _phrases(f"{name} note", verdict.notes)


def _rails(verdict: RailsVerdict) -> Iterator[str]:
    yield f"rails: {verdict.outcome}, by the windows of {verdict.revision}"
    for row in verdict.rows:
        reading = row.reading
        loaded = " under load" if reading.loaded else ""
        window = f"{row.window.low_v:g} to {row.window.high_v:g} V"
        yield f"rail {reading.rail} at {reading.plug}: {reading.typed} V{loaded}, {row.outcome}, window {window}"
    yield from _phrases("rails reason", verdict.reasons)
    yield from _phrases("rails finding", verdict.findings)


def _watch(book: Logbook, state: BuildState) -> Iterator[str]:
    power = state.power
    if power.pump_since is not None:
        verdict = book.power.wet_verdict(state)
        yield f"wet watch: running for {shown(book.power.watch(state).elapsed_s, Quantity.DURATION)}"
        yield f"wet watch due: {', '.join(verdict.due) or 'nothing'}"
    elif power.wet is not None:
        verdict = power.wet
        yield f"wet watch: {verdict.outcome}"
    else:
        return
    for joint in power.joints:
        looks = [
            f"{look.paper} after {shown(look.elapsed_s, Quantity.DURATION)}"
            for look in power.looks
            if look.joint == joint
        ]
        yield f"joint {joint}: {', '.join(looks) or 'not looked at'}"
    yield from _phrases("wet watch reason", verdict.reasons)


# --- headers ------------------------------------------------------------------------------------------------------


def _sweeps(book: Logbook, state: BuildState) -> Iterator[str]:
    offsets = {entry.seq: entry.mark.offset_min for entry in book.entries(state.build_id)}
    for number, sweep in enumerate(state.power.sweeps, 1):
        yield from _sweep(state.power, number, sweep, moment(sweep.at_ms, offsets[sweep.seq]))
    if state.power.sweeping is not None:
        begun, read = state.power.sweeping.begun, len(state.power.sweeping.readings)
        yield f"sweep running: {_seat(state.power, begun.chain_id, begun.header_id)}, {read} readings so far"


def _sweep(power: PowerState, number: int, sweep: TakenSweep, when: str) -> Iterator[str]:
    taken, name = sweep.taken, f"sweep {number}"
    verdict, stops = taken.verdict, taken.verdict.stops
    stale = f"; STALE since entry {sweep.stale_by}" if sweep.stale_by is not None else ""
    where = _seat(power, taken.chain_id, taken.header_id)
    yield f"{name}: {where}: {verdict.said} ({verdict.outcome}), {len(taken.sweep.readings)} readings, {when}{stale}"
    if verdict.full_rpm is not None:
        yield f"{name} full speed: {verdict.full_rpm:g} rpm"
    if stops.start_pct is not None:
        yield f"{name} starts at: {stops.start_pct:g} %"
    if stops.minimum_pct is not None:
        yield f"{name} smallest duty advised: {stops.minimum_pct:g} %"
    yield from _phrases(f"{name} reason", verdict.reasons)
    yield from _phrases(f"{name} finding", verdict.findings)
    yield from _phrases(f"{name} possible cause", verdict.causes)


def _duties(book: Logbook, state: BuildState) -> Iterator[str]:
    plan = book.headers.duty_plan(state)
    sound = {estimate.chain: estimate for estimate in plan.sound}
    for left in plan.left:
        facts = [f"{left.duty_pct:g} %"]
        if left.rpm is not None:
            facts.append(f"{left.rpm:g} rpm")
        if left.zone:
            facts.append(left.zone)
        if left.reason:
            facts.append(f"let be: {left.reason}")
        if left.chain in sound:
            facts.append(f"estimate: {sound[left.chain].change_db:+.1f} dB against full speed")
        yield f"duty of {left.chain}: {', '.join(facts)}"
    yield from _phrases("duty warning", plan.warnings)
    yield from _phrases("duty note", plan.notes)


def _judged(book: Logbook, state: BuildState) -> Iterator[str]:
    verdict = book.headers.verdict(state)
    yield f"fan headers verdict so far: {verdict.outcome}"
    yield from _phrases("fan headers reason", verdict.reasons)


# --- both ---------------------------------------------------------------------------------------------------------


def _ended(state: BuildState, stage: str, name: str) -> Iterator[str]:
    for run in state.runs.get(stage, ()):
        if run.closed is None or not isinstance(run.closed.payload, FirstPowerClosed | HeadersClosed):
            continue
        stale = f"; STALE since entry {run.stale_by}" if run.stale_by is not None else ""
        when = moment(run.closed.mark.wall_ms, run.closed.mark.offset_min)
        yield f"{name} {run.attempt}: {run.closed.payload.verdict.outcome}, closed {when}{stale}"


def _phrases(name: str, phrases: Sequence[Phrase]) -> Iterator[str]:
    for phrase in phrases:
        yield f"{name}: {sentence(phrase)}"


def _seat(power: PowerState, chain_id: str, header_id: str) -> str:
    chain, header = power.chain(chain_id), power.header(header_id)
    return f"{chain.name if chain else 'a chain'} on {header.name if header else 'a header'}"
