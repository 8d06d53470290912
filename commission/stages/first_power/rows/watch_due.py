"""Which look of the leak watch is due next, and when: for its own card, and for the list of what runs."""

from collections import Counter
from typing import TYPE_CHECKING

from commission.record.machine.joints import Paper

if TYPE_CHECKING:
    from commission.stages.first_power.model.wet_watch import WetVerdict
    from commission.stages.first_power.state.power import FirstPowerState

AGAIN_S = 180.0
"""After this long a joint that was damp and wiped is looked at again [s]; our choice: a drop needs minutes to come
back."""


def looks_at(power: "FirstPowerState") -> dict[str, int]:
    """Return how often each joint was looked at, in the order of the list."""
    looked = Counter(look.joint for look in power.looks)
    return {joint: looked[joint] for joint in power.joints}


def next_look(power: "FirstPowerState", verdict: "WetVerdict") -> tuple[float | None, tuple[str, ...]]:
    """Return when the next look is due, and at which joints: one that was damp is looked at again soon.

    Returns
    -------
    tuple
        The time since the pump started [s], None where no look is due; and the joints in the order of the list.
    """
    counts = {joint: count for joint, count in looks_at(power).items() if joint in verdict.due}
    fewest = min(counts.values(), default=0)
    last = {look.joint: look for look in power.looks}
    damp = {joint: look.elapsed_s + AGAIN_S for joint, look in last.items() if look.paper is Paper.DAMP}
    again_s = min(damp.values(), default=None)
    if again_s is not None and (verdict.next_look_s is None or again_s < verdict.next_look_s):
        return again_s, tuple(joint for joint in counts if damp.get(joint) == again_s)
    return verdict.next_look_s, tuple(joint for joint, count in counts.items() if count == fewest)
