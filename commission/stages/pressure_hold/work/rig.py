"""How pump, valve and gauge are joined to the loop, and which answers about the source go with that."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.errors import NotAllowed
from commission.stages.pressure_hold.entries import Rig, RigDescribed, SourceOff
from commission.stages.pressure_hold.state.attempt import hold_of

if TYPE_CHECKING:
    from commission.record.logged import Logged
    from commission.record.stage_work import StageWork
    from commission.stages.pressure_hold.state.attempt import HoldAttempt


def describe_rig(holds: StageWork, build_id: str, rig: Rig) -> Logged:
    """Record how the test rig is joined; steps and source are asked again, since another rig is connected.

    Raises
    ------
    NotAllowed
        If a hold runs, or a fault must be found or repaired first.
    """
    attempt = hold_of(holds.unlocked(build_id)).attempt
    return holds.book.record(build_id, RigDescribed(attempt=attempt, rig=rig))


def rig_of(how: SourceOff) -> Rig:
    """Return the rig that an answer about the source goes with."""
    return Rig.OWN_GAUGE if how is SourceOff.PUMP_LEFT else Rig.VALVED


def refuse_source(hold: HoldAttempt, how: SourceOff) -> None:
    """Raise NotAllowed where an answer about the source does not go with the rig."""
    if rig_of(how) is hold.rig:
        return
    if hold.rig is Rig.VALVED:
        raise NotAllowed(f'"{how}" goes with a pump that has its own gauge and no valve; describe the rig so first')
    raise NotAllowed(
        f'"{how}" does not go with a pump that has no valve behind it; answer "{SourceOff.PUMP_LEFT}", or '
        "describe the rig again"
    )
