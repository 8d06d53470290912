"""First power-on of a build as plain lines: supply, rungs, cables, voltages, leak watch, machine."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Phrase, Quantity
from commission.bench.attempts import ended_lines
from commission.procedure.stage_ids import FIRST_POWER
from commission.shell.console import ascii_only
from commission.shell.judged_files import sentence
from commission.shell.shown import shown
from commission.stages.first_power.state.power import FirstPowerState
from commission.stages.first_power.text import machine_text, power_text
from commission.stages.first_power.work.rungs import FirstPower

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook
    from commission.stages.first_power.entries import CableTested
    from commission.stages.first_power.model.rails import RailsVerdict


def first_power_lines(book: Logbook, state: BuildState) -> Iterator[str]:
    """Yield the facts about supply, cables and rungs; nothing where none was ever written down."""
    if state.of(FirstPowerState).supply is not None or state.runs.get(FIRST_POWER):
        yield from _ladder(book, state)
        yield from ended_lines(state, FIRST_POWER)


def _ladder(book: Logbook, state: BuildState) -> Iterator[str]:
    power, verdict = state.of(FirstPowerState), book.work(FirstPower).verdict(state)
    if power.supply is not None:
        yield f"supply: {power_text(power.supply)}"
    for rung in verdict.rungs:
        locked = book.work(FirstPower).locked(state, rung.rung)
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
    power = state.of(FirstPowerState)
    if power.pump_since is not None:
        verdict = book.work(FirstPower).wet_verdict(state)
        yield f"wet watch: running for {shown(book.work(FirstPower).watch(state).elapsed_s, Quantity.DURATION)}"
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


def _phrases(name: str, phrases: Sequence[Phrase]) -> Iterator[str]:
    for phrase in phrases:
        yield f"{name}: {sentence(phrase)}"
