"""A look at a joint as it is typed: what dry paper showed there."""

from collections.abc import Sequence

from commission.base.errors import InputError
from commission.base.frozen import Frozen
from commission.bench.ask import listed, one_of
from commission.record.machine.dryness import refuse_wet
from commission.record.machine.joints import Paper


class LookLine(Frozen):
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


def read_look(text: str, joints: Sequence[str], due: Sequence[str]) -> LookLine:
    """Return the look of a line: ``dry`` for the joint that is due, ``all dry`` for all that are, or ``NAME wet``.

    Raises
    ------
    InputError
        If it says nothing of the paper, names no joint, or says of all at once that they are not dry.
    NotAllowed
        If the note of a dry look says that something is wet.

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
    if paper is Paper.DRY:
        refuse_wet(note)
    name = " ".join(words[:-1]).removesuffix(":").strip()
    if name.casefold() == "all":
        if paper is not Paper.DRY:
            raise InputError(f"which of them is {paper}? type its name: {listed(list(joints))}")
        return LookLine(joints=tuple(due) or tuple(joints), paper=paper, note=note.strip())
    if not name and not due:
        raise InputError(f"which joint? type its name before the word, or all dry: {listed(list(joints))}")
    joint = one_of(name, {each: each for each in joints}, "joint on the list") if name else due[0]
    return LookLine(joints=(joint,), paper=paper, note=note.strip())


def says_paper(text: str) -> bool:
    """Return whether a line ends with what paper shows, and so is a look.

    >>> says_paper("block in wet # a drop"), says_paper("warm 36 cool 34 air 22")
    (True, False)
    """
    words = text.partition("#")[0].split()
    return bool(words) and words[-1].casefold() in tuple(Paper)
