"""What an entry of the first power-on says in a line."""

from __future__ import annotations

from typing import TYPE_CHECKING, assert_never

from commission.base.quantity import Quantity
from commission.record.value_text import note_text, shown
from commission.stages.first_power.entries import (
    CableTested,
    FirstPowerClosed,
    FirstPowerEntry,
    JointLooked,
    MachineStarted,
    MultimeterNamed,
    PowerFaultMended,
    PowerTestAborted,
    PumpStarted,
    RailsRead,
    SupplyDescribed,
    WetWatchEnded,
)

if TYPE_CHECKING:
    from commission.stages.first_power.model.machine_start import MachineStart


def power_text(payload: FirstPowerEntry) -> str:
    """Return what an entry of the first power-on says beside its kind.

    Parameters
    ----------
    payload
        The entry.
    """
    match payload:
        case SupplyDescribed(name=name, revision=revision, hand_made=made):
            return f"{name}, {revision}; made by hand: {', '.join(made) or 'none'}"
        case CableTested(attempt=attempt, test=test, verdict=cable):
            wires = f"{cable.wires_proven} of {len(test.cable.wires)} wires proven"
            return f"attempt {attempt}: {test.cable.name}, {test.cable.connector.title}, {cable.outcome}, {wires}"
        case RailsRead(attempt=attempt, readings=readings, verdict=rails, power_good=good):
            read = ", ".join(f"{each.plug} {each.rail} {each.typed} V" for each in readings)
            signal = f"; PWR_OK after {good.delay_ms:g} ms, {good.word}" if good else ""
            signal += "".join(f"; {each.plug} left out: {each.reason}" for each in payload.left_out)
            signal += f"; the very voltages of {payload.same_as}, said to be right" if payload.same_as else ""
            return f"attempt {attempt}: {rails.outcome}, {rails.revision}: {read}{signal}"
        case PowerTestAborted(attempt=attempt, cable=cable_name, reason=reason):
            return f"attempt {attempt}: {f'cable {cable_name}' if cable_name else 'voltages'}, {reason}"
        case PowerFaultMended() | MultimeterNamed():
            return _said_text(payload)
        case PumpStarted() | JointLooked() | WetWatchEnded():
            return f"attempt {payload.attempt}: {_watch_text(payload)}"
        case MachineStarted(attempt=attempt, start=start, verdict=machine):
            off = "; power off at once" if machine.power_off else ""
            return f"attempt {attempt}: {machine.outcome}, {machine_text(start)}{off}"
        case FirstPowerClosed(attempt=attempt, verdict=verdict):
            rungs = ", ".join(f"{each.rung} {each.outcome or 'not done'}" for each in verdict.rungs)
            return f"attempt {attempt}: {verdict.outcome}; {rungs}"
        case _ as unreachable:
            assert_never(unreachable)


def _said_text(payload: PowerFaultMended | MultimeterNamed) -> str:
    if isinstance(payload, MultimeterNamed):
        return f"cables and voltages are read with {payload.name}"
    return f"{payload.what}: {payload.done}"


def _watch_text(payload: PumpStarted | JointLooked | WetWatchEnded) -> str:
    match payload:
        case PumpStarted(joints=joints):
            return f"pump alone; to look at: {', '.join(joints)}"
        case JointLooked(look=look):
            return f"{look.joint} {look.paper} after {shown(look.elapsed_s, Quantity.DURATION)}{note_text(look.note)}"
        case WetWatchEnded(watch=watch, verdict=wet):
            ran = shown(watch.elapsed_s, Quantity.DURATION)
            return f"{wet.outcome}, pump ran {ran}, level {watch.level}, sound {watch.noise}"
        case _ as unreachable:
            assert_never(unreachable)


def machine_text(start: MachineStart) -> str:
    """Return what was seen at the first start of the whole machine.

    >>> from commission.stages.first_power.model.machine_start import MachineStart, PumpSign
    >>> machine_text(MachineStart(sign=PumpSign.SPEED, after_s=2.0, pump_rpm=4700))
    'pump: its speed is shown after 2 s, 4700 rpm'
    """
    after = f" after {start.after_s:g} s" if start.after_s is not None else ""
    facts = [f"pump: {start.sign}{after}"]
    if start.all_pumps:
        facts.append("each pump turns")
    if start.pump_rpm is not None:
        facts.append(f"{start.pump_rpm:g} rpm")
    if start.tach_connected is False:
        facts.append("its tach is not connected")
    if start.headers_right is not None:
        facts.append(f"headers {'as recorded' if start.headers_right else 'not as recorded'}")
    if start.processor_k is not None:
        facts.append(f"processor {shown(start.processor_k, Quantity.TEMPERATURE)}")
    if start.powered_off:
        facts.append("powered off again")
    return ", ".join(facts)
