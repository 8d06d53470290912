"""What the levels read beside the cycles of a bleed say that these took, beyond what was told of them."""

from __future__ import annotations

from collections.abc import Sequence

from commission.base.frozen import Frozen, replace
from commission.stages.bleed.model import TimedCycle


class Fall(Frozen):
    """By how much liquid is missing for sure at one level, after another one before it."""

    after: int
    """Number of the entry of the first level."""
    before: int
    """Number of the entry of the second level."""
    sure_m3: float
    """What is missing for sure, before anything that the cycles told is taken off it [m3]."""


def with_falls(cycles: Sequence[TimedCycle], falls: Sequence[Fall]) -> tuple[TimedCycle, ...]:
    """Return the cycles as the levels say: a fall that they did not tell counts as what the one before it took.

    Parameters
    ----------
    cycles
        Cycles in order [records].
    falls
        Falls between any two levels, by the second of them in order [m3].

    Notes
    -----
    A fall of many small steps is seen between levels that lie further apart, and counts once. A level may be read
    before the top-up that the next cycle tells: that explains a fall, too. Our choice: only what is sure counts, since
    a cycle read to 1 mL would else be as coarse as a look at the level.

    Source: conservation of mass.

    Examples
    --------
    >>> with_falls((), ())
    ()
    """
    found = list(cycles)
    for fall in falls:
        last = max((n for n, timed in enumerate(found) if timed.seq < fall.before), default=None)
        if last is None:
            continue
        told = sum(timed.took_m3 for timed in found[: last + 2] if timed.seq > fall.after)
        if (more := fall.sure_m3 - told) > 0:
            found[last] = replace(found[last], fell_m3=found[last].fell_m3 + more)
    return tuple(found)
