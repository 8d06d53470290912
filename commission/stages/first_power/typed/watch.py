"""What is typed while the pump runs alone: looks at joints, level, noise; and the joints a loop has."""

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from commission.base.errors import InputError
from commission.base.text import clip
from commission.bench.ask import listed, one_of
from commission.record.machine.noise import Noise
from commission.record.machine.parts import Part, PartKind
from commission.stages.first_power.model.wet_watch import LevelLook, Paper

LONGEST_JOINT = 40
"""Longest name of a joint [characters]."""
MOST_JOINTS = 60
"""Joints that one watch takes at most."""
FLOOR = "case floor"
"""Where water from anywhere else ends up: paper lies there too."""
_ONE_END = {PartKind.FITTINGS, PartKind.VALVE}
"""Parts that count as one joint; tubes have theirs at the parts that they join."""
_LEVEL = {"steady": LevelLook.STEADY, "sinking": LevelLook.SINKING, "unseen": LevelLook.NOT_LOOKED}
_NOISE = {
    "quiet": Noise.QUIET,
    "gurgling": Noise.GURGLING,
    "rattling": Noise.RATTLING,
    "unheard": Noise.NOT_LISTENED,
}
_FILLERS = ("level", "pump", "and", "·", "noise")
_EDIT = re.compile(r"([+\-−])\s*(\S.*)")


@dataclass(frozen=True, slots=True, kw_only=True)
class LookLine:
    """A look at one joint, or at all that are due."""

    joints: tuple[str, ...]
    """Which joints."""
    paper: Paper
    """What the paper showed."""
    note: str = ""
    """What followed the #."""

    @property
    def told(self) -> str:
        """The line as understood."""
        note = f', note "{self.note}"' if self.note else ""
        return f"{', '.join(self.joints)}: paper {self.paper}{note}"


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


def _same(first: str, second: str) -> bool:
    return first.casefold() == second.casefold()


def edited(text: str, joints: Sequence[str]) -> tuple[str, ...]:
    """Return the joints after a line: ``+ name`` adds, ``- name`` takes away, names with commas replace them all.

    Raises
    ------
    InputError
        If a name stands twice, is too long, or is not among those to be taken away.

    Examples
    --------
    >>> edited("+ quick coupling", ["block in"]), edited("- block in", ["block in", "drain"])
    (('block in', 'quick coupling'), ('drain',))
    """
    edit = _EDIT.fullmatch(text.strip())
    if edit is not None and edit[1] == "+":
        return _checked((*joints, *_names(edit[2])))
    if edit is not None:
        gone = one_of(edit[2], {joint: joint for joint in joints}, "joint on the list")
        return tuple(joint for joint in joints if joint != gone)
    return _checked(_names(text))


def _names(text: str) -> tuple[str, ...]:
    names = tuple(" ".join(piece.split()) for piece in text.split(",") if piece.strip())
    if not names:
        raise InputError("type the joints with commas between, such as block in, block out, drain")
    return names


def _checked(joints: tuple[str, ...]) -> tuple[str, ...]:
    for n, joint in enumerate(joints):
        if len(joint) > LONGEST_JOINT:
            raise InputError(f"{clip(joint)} has {len(joint)} characters; {LONGEST_JOINT} are the most")
        if any(_same(joint, other) for other in joints[:n]):
            raise InputError(f"{clip(joint)} stands twice; give each joint its own name")
        if "#" in joint:
            raise InputError(f"{clip(joint)}: a name cannot hold #, which begins a note")
        if joint.casefold().split()[-1] in tuple(Paper) or joint.casefold() == "all":
            raise InputError(f"{clip(joint)} reads like a look; give the joint another name")
    if len(joints) > MOST_JOINTS:
        raise InputError(f"{len(joints)} joints; {MOST_JOINTS} are the most that one pair of eyes can watch")
    return joints


def read_look(text: str, joints: Sequence[str], due: Sequence[str]) -> LookLine:
    """Return the look of a line: ``dry`` for the joint that is due, ``all dry`` for all that are, or ``NAME wet``.

    Raises
    ------
    InputError
        If it says nothing of the paper, names no joint, or says of all at once that they are not dry.

    Examples
    --------
    >>> read_look("all dry", ["a", "b"], ["a", "b"]).joints, read_look("b damp # a drop", ["a", "b"], ["a"]).told
    (('a', 'b'), 'b: paper damp, note "a drop"')
    """
    body, _, note = text.partition("#")
    words = body.split()
    paper = next((one for one in Paper if words and words[-1].casefold() == one), None)
    if paper is None:
        raise InputError("type what the paper shows: dry, damp or wet; for another joint its name before the word")
    name = " ".join(words[:-1]).removesuffix(":").strip()
    if name.casefold() == "all":
        if paper is not Paper.DRY:
            raise InputError(f"which of them is {paper}? type its name: {listed(list(joints))}")
        return LookLine(joints=tuple(due) or tuple(joints), paper=paper, note=note.strip())
    if not name and not due:
        raise InputError(f"which joint? type its name before the word: {listed(list(joints))}")
    joint = one_of(name, {each: each for each in joints}, "joint on the list") if name else due[0]
    return LookLine(joints=(joint,), paper=paper, note=note.strip())


def read_state(text: str) -> tuple[LevelLook, Noise]:
    """Return what ``steady quiet`` says of level and noise.

    Raises
    ------
    InputError
        If one of them is missing or a word is not known.

    Examples
    --------
    >>> [str(word) for word in read_state("level steady, gurgling")]
    ['steady', 'gurgling']
    """
    level = noise = None
    for word in text.casefold().replace(",", " ").split():
        if (word in _LEVEL and level is not None) or (word in _NOISE and noise is not None):
            raise InputError(f"{clip(word)} is one too many; {_ASKED}")
        if word in _LEVEL:
            level = _LEVEL[word]
        elif word in _NOISE:
            noise = _NOISE[word]
        elif word not in _FILLERS:
            raise InputError(f"{clip(word)} is not known here; {_ASKED}")
    if level is None or noise is None:
        raise InputError(f"type both; {_ASKED}")
    return level, noise


_ASKED = "level: steady, sinking or unseen; noise: quiet, gurgling, rattling or unheard"
