"""Which joints a leak watch must look at: the list and the start of the pump ask the same."""

from collections.abc import Sequence

from commission.base.errors import InputError
from commission.record.build_state import BuildState
from commission.record.machine.joints import parts_without_joint
from commission.stages.first_power.state.power import FirstPowerState


def refuse_joints(state: BuildState, joints: Sequence[str]) -> None:
    """Refuse a list of joints that leaves out what must be looked at.

    Raises
    ------
    InputError
        If no joint is named, or one twice, one that was wet before is missing, or a part has none on it.
    """
    if not joints:
        raise InputError("name every joint that can be wet; without looks nothing is proven dry")
    if len({joint.casefold() for joint in joints}) < len(joints):
        raise InputError("two joints have the same name; give each its own")
    listed = {joint.casefold() for joint in joints}
    dropped = [joint for joint in state.of(FirstPowerState).leaked if joint.casefold() not in listed]
    if dropped:
        raise InputError(f"{', '.join(dropped)} was wet before and must be looked at again; add it to the list")
    unproved = [] if state.held is None else [one for one in state.held.left_out if not _named(one, joints)]
    if unproved:
        raise InputError(
            f"{', '.join(unproved)} was left out of the hold, so nothing is proved of it. Add its joints, under "
            "its name, to the list"
        )
    unseen = parts_without_joint(state.parts, joints)
    if unseen:
        raise InputError(f"no joint of {', '.join(unseen)} is on the list, so nobody would look at it; add one")


def _named(part: str, joints: Sequence[str]) -> bool:
    """Return whether a joint on the list is called after a part."""
    return any(part.casefold() in joint.casefold() for joint in joints)
