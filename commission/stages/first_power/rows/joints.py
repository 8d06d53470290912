"""The joints of a leak watch as rows: how often each was looked at, and what the paper showed."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from commission.base.text import counted
from commission.bench.card import Figure
from commission.bench.figures import duration

if TYPE_CHECKING:
    from commission.stages.first_power.model.wet_watch import WetLook


def joint_row(joint: str, looks: "Sequence[WetLook]", mark: str = "") -> Figure:
    """Return a joint: its looks counted, what the paper showed in which minute, and the last note."""
    seen = [look for look in looks if look.joint == joint]
    papers = ", ".join(f"{look.paper} at {duration(60 * round(look.elapsed_s / 60))}" for look in seen)
    note = f' "{seen[-1].note}"' if seen and seen[-1].note else ""
    return Figure(label=joint, value=counted(len(seen), "look"), bounds=mark, remark=f"{papers}{note}")


def joints_row(joints: Sequence[str]) -> tuple[Figure, ...]:
    """Return the list of joints before the watch; nothing where none is on it."""
    return (Figure(label="joints", value=str(len(joints)), remark=", ".join(joints)),) if joints else ()
