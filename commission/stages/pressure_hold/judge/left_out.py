"""What fell in the settling time that somebody stated: told always, and no pass where it may be the leak itself."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from commission.base.quantity import Amount, Phrase, Quantity
from commission.stages.pressure_hold.judge.part import select
from commission.stages.pressure_hold.judge.settled import bend_floor, find_mildest
from commission.stages.pressure_hold.judge.variants import variants

if TYPE_CHECKING:
    from commission.stages.pressure_hold.judge.settled import Settled

DEEPEST_SETTLING = 0.1
"""A pass needs that no more of the first gauge pressure fell while it settled [1]; our choice: air that was pumped up
by half an atmosphere and is still 10 K warmer than the room loses a tenth of that half; soft tube gives way less."""


def fall_left_out(settled: Settled) -> float:
    """Return how far the compensated pressure fell in the time that is not judged.

    Parameters
    ----------
    settled
        The judged part with its fits.

    Returns
    -------
    float
        From the first reading to the first that is judged; 0 where nothing was left out [Pa].

    Raises
    ------
    IndexError
        If there is no variant.
    """
    part = settled.part
    if part.begin == 0:
        return 0.0
    track = settled.fitted[0].compensated_pa
    return float(track[0] - track[part.begin])


def told_fall(settled: Settled) -> list[Phrase]:
    """Tell the fall in the time left out, where the gauge showed one."""
    fell = fall_left_out(settled)
    if fell < settled.part.setup.gauge_step_pa:
        return []
    why = "as stated" if settled.part.setup.settle_s else "since it was still settling"
    return [
        Phrase(
            "fall_left_out",
            f"In the first {{0}}, left out {why}, the pressure fell by {{1}}.",
            (Amount(Quantity.DURATION, settled.cut_s), Amount(Quantity.PRESSURE_DIFFERENCE, fell)),
        )
    ]


def left_out_unexplained(settled: Settled) -> Phrase | None:
    """Say that more fell in a long time left out than a settling explains, and that too little was judged after it.

    Parameters
    ----------
    settled
        The judged part with its fits.

    Returns
    -------
    Phrase or None
        The reason against a pass; None where as long was judged as was left out, or the fall is explained.

    Raises
    ------
    IndexError
        If there is no variant.

    Notes
    -----
    Explained is a leak as it was judged, going on all that time, what instruments and room may differ by, and the
    settling that all the readings show where it was over within the time stated, as if that time had been found and
    not typed. With too few readings to see a settling none is explained. Our choice: whoever leaves out more than is
    judged sets most of the evidence aside, and a leak that stops on its own (a seal that seats, a droplet that plugs a
    hole) is told from a settling only by its shape, or by a flat time as long.
    """
    part = settled.part
    fell = fall_left_out(settled)
    if not part.setup.settle_s:
        return _too_deep(settled, fell)
    if fell <= 0 or part.span_s >= settled.cut_s:
        return None
    if fell <= _explained(settled):
        return None
    return Phrase(
        "left_out_unexplained",
        "It fell by {0} in the {1} left out, more than settling explains, and only {2} were judged after it. Judge at "
        "least as long as is left out.",
        (
            Amount(Quantity.PRESSURE_DIFFERENCE, fell),
            Amount(Quantity.DURATION, settled.cut_s),
            Amount(Quantity.DURATION, part.span_s),
        ),
    )


def _too_deep(settled: Settled, fell_pa: float) -> Phrase | None:
    """Say that more fell while the pressure settled than gas that cools and tube that gives way make it fall."""
    start_pa = float(settled.part.seen.gauge_pa[0])
    if fell_pa <= DEEPEST_SETTLING * start_pa:
        return None
    return Phrase(
        "settling_too_deep",
        (
            "It fell by {0} of {1} before it stood still: more than settling. Something let "
            "go and sealed itself, or it was vented. Check the loop, pump up, and hold again."
        ),
        (Amount(Quantity.PRESSURE_DIFFERENCE, fell_pa), Amount(Quantity.GAUGE_PRESSURE, start_pa)),
    )


def _explained(settled: Settled) -> float:
    """Return how far the judged rate, the settling and the instruments explain a fall in the time left out [Pa]."""
    seen, setup = settled.part.seen, settled.part.setup
    cut_s = settled.cut_s
    whole = select(seen, setup, 0.0)
    fitted = variants(whole)
    went_on = max(0.0, *(one.line.drop_pa / one.line.span_s for one in settled.fitted)) * cut_s
    explained = went_on + bend_floor(whole, fitted)
    found = find_mildest(whole, fitted)
    if found is not None and found.cut_s <= cut_s:
        explained += max(0.0, found.amplitude_pa * -math.expm1(-cut_s / found.time_constant_s))
    return explained
