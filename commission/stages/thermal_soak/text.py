"""What an entry of a thermal soak says."""

from typing import assert_never

from commission.base.quantity import Quantity
from commission.base.text import counted
from commission.record.value_text import shown
from commission.stages.thermal_soak.entries import (
    ComponentLimited,
    HotJointsLooked,
    SoakClosed,
    SoakEntry,
    SoakRead,
    SoakStarted,
)
from commission.stages.thermal_soak.model import SoakPlan, SoakReading


def soak_text(payload: SoakEntry) -> str:
    """Return what an entry of a soak says beside its kind.

    Parameters
    ----------
    payload
        The entry.
    """
    match payload:
        case ComponentLimited(name=name, most=most, source=source):
            return f"{name}: at most {most.typed}, {source}"
        case _:
            return f"attempt {payload.attempt}: {_of_attempt(payload)}"


def _of_attempt(payload: SoakStarted | SoakRead | HotJointsLooked | SoakClosed) -> str:
    match payload:
        case SoakStarted(plan=plan):
            return plan_text(plan)
        case SoakRead(readings=readings, file=file, same_as=other) if file or len(readings) != 1:
            same = f"; the very readings of {other}, said to be right" if other else ""
            return f"{counted(len(readings), 'reading')} from {file or 'a file'}{same}"
        case SoakRead(readings=readings):
            return reading_text(readings[0])
        case HotJointsLooked(joints=joints, paper=paper, note=note):
            return f"{', '.join(joints)}: paper {paper}" + (f', note "{note}"' if note else "")
        case SoakClosed(verdict=verdict):
            return f"{verdict.outcome}, {counted(verdict.readings, 'reading')}"
        case _ as unreachable:
            assert_never(unreachable)


def plan_text(plan: SoakPlan) -> str:
    """Return what is known of coolant and displays.

    >>> plan_text(SoakPlan())
    'water, display step 0.1 K'
    """
    liquid = "water" if plan.base is None else f"{plan.base} {100 * plan.mass_fraction:g} % by mass"
    return f"{liquid}, display step {plan.resolution_k:g} K"


def reading_text(reading: SoakReading) -> str:
    """Return one reading in one line, as it would be typed."""
    parts = [f"after {shown(reading.elapsed_s, Quantity.DURATION)}"]
    for word, kelvin in (("warm", reading.warm_k), ("cool", reading.cool_k), ("air", reading.air_k)):
        parts += [] if kelvin is None else [f"{word} {shown(kelvin, Quantity.TEMPERATURE)}"]
    parts += [f"{one.name} {shown(one.value, Quantity.TEMPERATURE)}" for one in reading.components]
    if reading.flow_m3_s is not None:
        parts.append(f"flow {shown(reading.flow_m3_s, Quantity.FLOW)}")
    if reading.load_w is not None:
        parts.append(f"load {shown(reading.load_w, Quantity.POWER)}")
    parts += [f"{one.name} {100 * one.value:g} %" for one in reading.duties]
    return ", ".join(parts)
