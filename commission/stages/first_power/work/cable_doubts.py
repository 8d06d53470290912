"""What speaks against the readings of a cable: less than the meter's own leads, or those of another cable."""

from commission.base.errors import InputError
from commission.stages.first_power.model.cables import CableTest
from commission.stages.first_power.state.power import FirstPowerState

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
    """Return which other cable showed these very readings, wire by wire and pair by pair; empty where none did."""
    if not test.continuity:
        return ""
    for other in state.cables:
        same = (other.test.continuity, other.test.shorts) == (test.continuity, test.shorts)
        if same and other.test.cable.name != test.cable.name:
            return other.test.cable.name
    return ""
