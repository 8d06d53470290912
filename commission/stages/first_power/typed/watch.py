"""What is typed while the pump runs alone, but looks at joints: which joints there are, level, noise."""

import re
from collections.abc import Sequence

from commission.base.errors import InputError, refuse_longer
from commission.base.text import clip
from commission.bench.ask import one_of
from commission.record.machine.joints import LONGEST_JOINT, MOST_JOINTS, Paper
from commission.record.machine.noise import NOISE_WORDS, Noise
from commission.stages.first_power.model.wet_watch import LevelLook

_LEVEL = {"steady": LevelLook.STEADY, "sinking": LevelLook.SINKING, "unseen": LevelLook.NOT_LOOKED}
_FILLERS = ("level", "pump", "and", "·", "noise")
_EDIT = re.compile(r"([+\-−])\s*(\S.*)")


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
        refuse_longer(joint, LONGEST_JOINT, f"{clip(joint)} has")
        if any(_same(joint, other) for other in joints[:n]):
            raise InputError(f"{clip(joint)} stands twice; give each joint its own name")
        if "#" in joint:
            raise InputError(f"{clip(joint)}: a name cannot hold #, which begins a note")
        if joint.casefold().split()[-1] in tuple(Paper) or joint.casefold() == "all":
            raise InputError(f"{clip(joint)} reads like a look; give the joint another name")
    if len(joints) > MOST_JOINTS:
        raise InputError(f"{len(joints)} joints; {MOST_JOINTS} are the most that one pair of eyes can watch")
    return joints


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
        if (word in _LEVEL and level is not None) or (word in NOISE_WORDS and noise is not None):
            raise InputError(f"{clip(word)} is one too many; {_ASKED}")
        if word in _LEVEL:
            level = _LEVEL[word]
        elif word in NOISE_WORDS:
            noise = NOISE_WORDS[word]
        elif word not in _FILLERS:
            raise InputError(f"{clip(word)} is not known here; {_ASKED}")
    if level is None or noise is None:
        raise InputError(f"type both; {_ASKED}")
    return level, noise


_ASKED = "level: steady, sinking or unseen; noise: quiet, gurgling, rattling or unheard"
