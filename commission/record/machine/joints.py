"""The joints of a loop, and what dry paper shows at them."""

from collections import Counter
from collections.abc import Sequence
from enum import StrEnum

from commission.record.machine.parts import Part, PartKind

LONGEST_JOINT = 40
"""Longest name of a joint [characters]; our choice: it stays one line of a card."""
MOST_JOINTS = 60
"""Joints that one watch takes at most [1]; our choice: one pair of eyes watches no more."""
FLOOR = "case floor"
"""Where water from anywhere else ends up: paper lies there too."""
_ONE_END = {PartKind.FITTINGS, PartKind.VALVE}
"""Parts that count as one joint; tubes have theirs at the parts that they join."""


class Paper(StrEnum):
    """What a dry paper towel showed after it was pressed to a joint."""

    DRY = "dry"
    DAMP = "damp"
    WET = "wet"


def joints_of(parts: Sequence[Part]) -> tuple[str, ...]:
    """Return the joints that a loop of these parts has: where each part is screwed in, and where it lets go again.

    Examples
    --------
    >>> def made(kind, name):
    ...     return Part(part_id=name, kind=kind, name=name, volume_m3=1e-5, u_volume_m3=0.0)
    >>> joints_of([made(PartKind.RADIATOR, "front"), made(PartKind.TUBE, "tube"), made(PartKind.VALVE, "drain")])
    ('front in', 'front out', 'drain', 'case floor')
    """
    found: list[str] = []
    seen: Counter[str] = Counter()
    for part in parts:
        if part.kind is PartKind.TUBE:
            continue
        name = " ".join(part.name.replace(",", " ").replace("#", " ").split())[: LONGEST_JOINT - 8]
        seen[name.casefold()] += 1
        name = name if seen[name.casefold()] == 1 else f"{name} {seen[name.casefold()]}"
        found += [name] if part.kind in _ONE_END else [f"{name} in", f"{name} out"]
    return (*found[: MOST_JOINTS - 1], FLOOR) if found else ()


def parts_without_joint(parts: Sequence[Part], joints: Sequence[str]) -> tuple[str, ...]:
    """Return the names of the parts of which no word is in any joint's name, so that nobody would look at them.

    Examples
    --------
    >>> def made(kind, name):
    ...     return Part(part_id=name, kind=kind, name=name, volume_m3=1e-5, u_volume_m3=0.0)
    >>> loop = [made(PartKind.CPU_BLOCK, "CPU block"), made(PartKind.RADIATOR, "front radiator")]
    >>> parts_without_joint(loop, ["block in", "block out"])
    ('front radiator',)
    """
    listed = {word for joint in joints for word in joint.casefold().split()}
    return tuple(
        part.name
        for part in parts
        if part.kind not in _BETWEEN and not listed.intersection(_telling(part.name.casefold().split()))
    )


def _telling(words: Sequence[str]) -> set[str]:
    """Return the words of a name that tell it; all where they are all short."""
    return {word for word in words if len(word) >= LEAST_WORD and word not in _PLAIN} or set(words)


_BETWEEN = {PartKind.TUBE, PartKind.FITTINGS}
"""Parts that join others: who looks at the joints of those looks at theirs."""
LEAST_WORD = 3
"""Shorter words tell no part [characters]; our choice: in, of, a."""
_PLAIN = {"and", "its", "the", "out", "with"}
