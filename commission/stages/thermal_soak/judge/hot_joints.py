"""Which joints were proven dry while the machine was hot."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.record.machine.joints import Paper
from commission.stages.thermal_soak.judge import reasons

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

    from commission.base.quantity import Phrase
    from commission.stages.thermal_soak.model import HotLook

HOT = 0.8
"""Hot is this share of the most that coolant was read above air [1]; our choice: little widens behind it."""
KNOWN_S = 600.0
"""A reading tells for so long whether it is hot [s]; our choice: the steady window, and a machine cools in minutes."""


def not_dry_while_hot(
    joints: Sequence[str], looks: Sequence[HotLook], elapsed_s: NDArray[np.float64], above_k: NDArray[np.float64]
) -> tuple[str, ...]:
    """Return the joints of which no look while hot is the last word, and dry.

    Parameters
    ----------
    joints
        Every joint that can be wet.
    looks
        What paper showed, in any order of joints.
    elapsed_s, above_k
        Readings: time [s] and coolant above air [K].

    Returns
    -------
    tuple of str
        Joints that need a look [words].

    Notes
    -----
    A look counts where the last reading before it, at most ten minutes old, has coolant above air at four fifths of the
    most that was read, or more. What was damp or wet is dry once a later look while hot says so.

    Source: our choice; common practice, no source, for paper at every joint while hot.
    """
    last = {look.joint.casefold(): look for look in sorted(looks, key=lambda look: look.elapsed_s)}
    return tuple(
        joint
        for joint in joints
        if (look := last.get(joint.casefold())) is None
        or look.paper is not Paper.DRY
        or not _hot(look.elapsed_s, elapsed_s, above_k)
    )


def leak_of(looks: Sequence[HotLook]) -> Phrase | None:
    """Return the joint that leaks: wet once, or damp more than once, as in the leak watch; None where none does."""
    wet = next((look.joint for look in looks if look.paper is Paper.WET), "")
    if wet:
        return reasons.wet(wet)
    damp = [look.joint.casefold() for look in looks if look.paper is Paper.DAMP]
    weeps = next((look.joint for look in looks if damp.count(look.joint.casefold()) > 1), "")
    return reasons.weeps(weeps) if weeps else None


def damp_once(looks: Sequence[HotLook]) -> tuple[Phrase, ...]:
    """Return what is said of joints that were damp at a look; nothing where none was."""
    damp = dict.fromkeys(look.joint for look in looks if look.paper is Paper.DAMP)
    return (reasons.damp(tuple(damp)),) if damp else ()


def _hot(at_s: float, elapsed_s: NDArray[np.float64], above_k: NDArray[np.float64]) -> bool:
    import numpy as np

    before = int(np.searchsorted(elapsed_s, at_s, side="right")) - 1
    if before < 0 or at_s - float(elapsed_s[before]) > KNOWN_S:
        return False
    return float(above_k[before]) >= HOT * float(np.nanmax(above_k))
