"""Whether what the last cycles took, all together, could be a drip: air runs out, a drip does not."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from commission.base.frozen import Frozen
from commission.stages.bleed.judge.tail import remaining_air
from commission.stages.bleed.model import TailState, TimedCycle
from commission.statistics.conformity import guard_band

MOST_EXPLAINED = 0.5
"""Share of the total that an even drip may explain [1]; our choice: where it could explain more, most of what was
topped up may have run out."""
FEWEST_AT_END = 2
"""Cycles that must show together that less came at the end [1]; our choice: one that took nothing may be luck, and
where more in a row took nothing before and then air or a drip came, so may as many."""
SURE = 0.99
"""How sure it must be that anything went at all [1]; our choice: at 95 % a bleed that ends in 1, 1 and 0 mL, read to
1 mL, would be held up, and that is how a good one ends."""
LONG_ROWS = 2
"""A row this many times as long as the rule asks is proof of a drip though the case was tilted in it [1]; our choice:
each tilt may free a little air, yet less and less of it."""


class Drip(Frozen):
    """A drip that the last cycles do not exclude."""

    total_m3: float
    """What they took in all [m3]."""
    proven: bool
    """Whether the amounts do not shrink for sure, over a long row."""


def even_drip(kept: Sequence[TimedCycle], began_s: float, last_cycles: int) -> Drip | None:
    """Return the drip that a row of cycles cannot be told from; None where it can.

    Parameters
    ----------
    kept
        The last cycles in a row that keep to the rule and the rests between them, in order of time, in whatever
        position of the case [SI].
    began_s
        When the first of them began, since the bleed began [s].
    last_cycles
        How many the rule asks for, 1 or more [1].

    Returns
    -------
    Drip or None
        The total, and whether it is proven [m3].

    Notes
    -----
    Readings are taken as uniform within their resolution, so that a sum of n has u = √(Σr²/3). A total below 2.326·u is
    nothing that can be read. Else the fastest even drip is that of the part of the row, up to its end, which took least
    for its time (with its own 2.326·u), two cycles or more, and more than ever took nothing in a row between two that
    took something: what shrinks leaves little for it, and a drip that is topped up now and then does not.

    Source: JCGM 100:2008, 4.3.7 (uniform: half-width over √3); JCGM 106:2012, 7.3 (z of 99 %); the rule is our choice.

    Examples
    --------
    >>> even_drip([], 0.0, 3) is None
    True
    """
    total = math.fsum(timed.took_m3 for timed in kept)
    if not kept or total <= _unread(kept):
        return None
    ends = kept[-1].elapsed_s
    began = [began_s, *(timed.elapsed_s for timed in kept)]
    rates = [
        (math.fsum(timed.took_m3 for timed in kept[n:]) + _unread(kept[n:])) / (ends - began[n])
        for n in range(max(1, len(kept) - max(FEWEST_AT_END, _longest_pause(kept) + 1) + 1))
        if ends > began[n]
    ]
    if not rates or min(rates) * (ends - began_s) < MOST_EXPLAINED * total:
        return None
    resolution = max(timed.cycle.resolution_m3 for timed in kept)
    tail = remaining_air([timed.took_m3 for timed in kept], resolution)
    long = len(kept) >= LONG_ROWS * last_cycles
    return Drip(total_m3=total, proven=long and tail.state is TailState.NOT_CONVERGING)


def _longest_pause(row: Sequence[TimedCycle]) -> int:
    """Return how many cycles in a row took nothing that can be read, between two that did, at most."""
    took = [n for n, timed in enumerate(row) if timed.took_m3 > timed.cycle.resolution_m3]
    return max((later - sooner - 1 for sooner, later in pairwise(took)), default=0)


def _unread(row: Sequence[TimedCycle]) -> float:
    """Return what the sum of a row may be off by [m3]."""
    return guard_band(math.sqrt(math.fsum(timed.cycle.resolution_m3**2 for timed in row) / 3), confidence=SURE)
