"""First power-on of a build as plain lines: supply, rungs, cables, voltages, leak watch, machine."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from commission.base.quantity import Phrase
from commission.bench.attempts import ended_lines, phrase_lines
from commission.bench.figures import duration
from commission.procedure.stage_ids import FIRST_POWER
from commission.stages.first_power.entries import FirstPowerClosed
from commission.stages.first_power.rows.aborted import aborted_rows
from commission.stages.first_power.rows.cables import cable_row
from commission.stages.first_power.rows.earlier import earlier_figures
from commission.stages.first_power.rows.joints import joint_row
from commission.stages.first_power.rows.ladder import rung_rows, supply_row
from commission.stages.first_power.rows.rails import meter_row, multimeter_row, power_good_row, rail_row
from commission.stages.first_power.state.power import FirstPowerState
from commission.stages.first_power.text import machine_text
from commission.stages.first_power.work.first_power import FirstPower
from commission.units.show import say

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.bench.card import Fact
    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook
    from commission.stages.first_power.entries import CableTested
    from commission.stages.first_power.model.rails import RailsVerdict


def first_power_lines(book: Logbook, state: BuildState) -> Iterator[Fact]:
    """Yield the facts about supply, cables and rungs; nothing where none was ever written down."""
    if state.of(FirstPowerState).supply is not None or state.runs.get(FIRST_POWER):
        yield from _ladder(book, state)
        yield from ended_lines(
            state,
            FIRST_POWER,
            FirstPowerClosed,
            lambda one: (
                earlier_figures(book.entries(state.build_id), state.withdrawn, one.attempt),
                map(say, one.verdict.reasons),
            ),
        )


def _ladder(book: Logbook, state: BuildState) -> Iterator[Fact]:
    power, verdict = state.of(FirstPowerState), book.work(FirstPower).verdict(state)
    if power.supply is not None:
        yield supply_row(power.supply.name, power.supply.revision, power.supply.hand_made)
        yield multimeter_row(power)
    for rung in rung_rows(verdict.rungs, partial(book.work(FirstPower).locked, state)):
        yield rung.of("step")
    made = power.supply.hand_made if power.supply is not None else ()
    for tested in power.cables:
        if tested.test.cable.name in made:
            yield from _cable(tested)
    if power.rails is not None:
        yield from _rails(power.rails)
        if power.same_rails:
            yield f"rails: the very voltages of {power.same_rails}, said to be right"
    if power.power_good is not None:
        yield power_good_row(power.power_good)
    yield from _before(power)
    yield from _watch(book, state)
    if power.machine is not None:
        seen = f", {machine_text(power.started.start)}" if power.started is not None else ""
        yield f"machine: {power.machine.outcome}{seen}"
        yield from phrase_lines("machine reason", power.machine.reasons)
    yield f"first power verdict so far: {verdict.outcome}"
    yield from phrase_lines("first power reason", verdict.reasons)


def _before(power: FirstPowerState) -> Iterator[Fact]:
    """Yield what was aborted, and what failed."""
    for aborted in power.aborted:
        for row in aborted_rows(aborted):
            yield row.of("aborted")
    for fault in power.faults:
        done = f"done: {fault.done}" if fault.done else "NOT REPAIRED as logged: say what was done"
        yield f"failed before: {fault.what}: {say(Phrase('', fault.said, fault.amounts))} {done}"


def _cable(tested: CableTested) -> Iterator[Fact]:
    name, verdict = f"cable {tested.test.cable.name}", tested.verdict
    yield cable_row(tested.test.cable.name, tested)
    yield from phrase_lines(f"{name} fault", verdict.faults)
    yield from phrase_lines(f"{name} missing", verdict.missing)
    yield from phrase_lines(f"{name} note", verdict.notes)


def _rails(verdict: RailsVerdict) -> Iterator[Fact]:
    yield f"rails: {verdict.outcome}, by the windows of {verdict.revision}"
    yield meter_row(verdict).of("rails")
    for row in verdict.rows:
        yield rail_row(row).of("rail")
    yield from phrase_lines("rails reason", verdict.reasons)
    yield from phrase_lines("rails remark", verdict.findings)


def _watch(book: Logbook, state: BuildState) -> Iterator[Fact]:
    power = state.of(FirstPowerState)
    if power.pump_since is not None:
        verdict = book.work(FirstPower).wet_verdict(state)
        yield f"leak watch: running for {duration(book.work(FirstPower).watch(state).elapsed_s)}"
        yield f"leak watch due: {', '.join(verdict.due) or 'nothing'}"
    elif power.wet is not None:
        verdict = power.wet
        yield f"wet watch: {verdict.outcome}"
    else:
        return
    for joint in power.joints:
        yield joint_row(joint, power.looks).of("joint")
    yield from phrase_lines("leak watch reason", verdict.reasons)
