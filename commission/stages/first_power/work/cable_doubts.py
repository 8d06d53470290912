"""What speaks against readings: less than the meter's own leads, those of another cable, or of another supply."""

from collections.abc import Sequence

from commission.base.errors import InputError
from commission.stages.first_power.model.cables import CableTest
from commission.stages.first_power.model.rails import Rail, RailReading
from commission.stages.first_power.state.power import FirstPowerState

ALIKE_ROWS = 4
"""Voltages from which equal ones are asked about [1]; our choice: as many as a board wants."""
ROUNDING_OHM = 1e-9
"""What a sum of typed digits may be off by [ohm]; our choice: far below any step of a meter."""


def refuse_below_leads(test: CableTest) -> None:
    """Refuse a wire that reads less than the meter's leads alone: both are in the reading, which adds up.

    Raises
    ------
    InputError
        If one does by more than a step of the meter.
    """
    leads = test.meter.lead_ohm
    if leads is None or test.meter.four_wire:
        return
    for one in test.continuity:
        if one.ohm is not None and one.ohm + test.meter.step_ohm < leads - ROUNDING_OHM:
            raise InputError(
                f"{one.load}>{one.supply} reads {one.ohm:g} ohm, and the leads alone {leads:g} ohm: less than the "
                "leads cannot be. Hold the leads together, read them again, then the wire"
            )


def same_readings(state: FirstPowerState, test: CableTest) -> str:
    """Return what showed these very readings, wire by wire and pair by pair; empty where nothing did.

    That is another cable, or one, of this name too, that was measured on a supply that was left, changed or hurt since.
    """
    if not test.continuity:
        return ""
    for other in state.cables:
        if _alike(other.test, test) and other.test.cable.name != test.cable.name:
            return other.test.cable.name
    return next(
        (
            f"{other.test.cable.name}, {one.supply} earlier"
            for one in reversed(state.before)
            for other in one.cables
            if _alike(other.test, test)
        ),
        "",
    )


def same_voltages(state: FirstPowerState, readings: Sequence[RailReading]) -> str:
    """Return which supply, left, changed or hurt since, showed these very voltages; empty where none did."""
    read = _volts(readings)
    alike = (one for one in reversed(state.before) if len(read) >= ALIKE_ROWS and read <= _volts(one.readings))
    return next((f"{one.supply} earlier" for one in alike), "")


def _alike(one: CableTest, other: CableTest) -> bool:
    return (one.continuity, one.shorts) == (other.continuity, other.shorts)


def _volts(readings: Sequence[RailReading]) -> set[tuple[str, Rail, bool, float]]:
    return {(one.plug.casefold(), one.rail, one.loaded, one.volt) for one in readings}
