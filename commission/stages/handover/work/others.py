"""What is changed as something other: never what a proof rests on, by whatever word it is called."""

from commission.base.errors import NotAllowed
from commission.base.text import clip
from commission.record.build_state import BuildState
from commission.record.machine.dryness import wet_in
from commission.record.machine.parts import PartKind
from commission.record.machine.rungs import Rungs

_BY_NAME = "its name as the build has it, without other"
_LOOP = frozenset(
    {word for kind in PartKind if kind is not PartKind.OTHER for word in kind.split() if word not in ("cpu", "gpu")}
    | {"fitting", "hose", "clamp", "ring", "oring", "seal", "gasket", "glass", "coolant", "tubing", "pipe", "hardline"}
    | {"softline", "quick", "release", "coupling", "disconnect", "plug", "cap", "port", "adapter", "adaptor", "barb"}
    | {"elbow", "manifold", "tap", "collet", "waterblock", "sensor", "impeller", "drain"}
)
"""Words of what coolant touches; our choice: the kinds of parts, what joins, closes and seals them."""
_MEANT = (
    (_LOOP, _BY_NAME),
    (frozenset({"fan", "hub", "splitter"}), "the name of its fan chain, without other"),
    (
        frozenset({"supply", "psu", "cable", "cord", "board", "mainboard", "motherboard", "riser", "extension"}),
        "supply, a colon and why",
    ),
    (frozenset({"paste", "pad", "backplate", "coldplate"}), "paste, a colon and why"),
    (
        frozenset({"gpu", "cpu", "processor", "graphic", "graphics", "videocard"}),
        "paste, a colon and why; where its cables came off supply, too",
    ),
)
"""Words of what proofs rest on, without the s of several, and what to type for them; our choice of words."""


def refuse_other(state: BuildState, name: str, why: str) -> None:
    """Raise NotAllowed where something is called other that proofs rest on, or that is wet."""
    said = " ".join(name.casefold().split())
    chains, parts = (one.name for one in state.plugged.chains), (one.name for one in state.parts)
    known = [" ".join(one.casefold().split()) for one in (*parts, *chains, *state.of(Rungs).fed_by)]
    typed = said.replace("-", " ").split()
    words = {*typed, *(word.removesuffix("s") for word in typed)}
    if words & {"panel", "door"}:
        words.discard("glass")  # that of the case
    named = any(said == one or f" {said} " in f" {one} " or (" " in one and one in said) for one in known)
    meant = _BY_NAME if named else next((told for of, told in _MEANT if words & of), "")
    if meant:
        raise NotAllowed(f"proofs rest on {clip(name)}: type {meant}")
    if wet := wet_in(f"{name}, {why}"):
        raise NotAllowed(f"{clip(wet)} is a leak: type leak, or run commission defect")
