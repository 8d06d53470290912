"""A sweep that is read live: which readings are new, when a level has settled, and when there are enough."""

from __future__ import annotations

from statistics import median
from typing import TYPE_CHECKING

from commission.base.frozen import Frozen

if TYPE_CHECKING:
    from collections.abc import Sequence

SPACING_S = 2.0
"""Readings closer than this may repeat a kept value and fake a tiny scatter [s]. Source: Linux
drivers/hwmon/nct6775-core.c, commit 0c23e18c, keeps values for 1.5 s; rounded up, our choice: other drivers were not
read."""
SAMPLES = 5
"""Readings of a level [1]; our choice: a median of five stands two bad readings."""
LONGEST_WAIT_S = 30.0
"""After this a level counts as settled or never will be [s]; our choice: what still changes after half a minute is
not on its way to rest."""
WINDOW = 3
"""Readings whose median is compared with that of as many before [1]; our choice: the least with a median that stands
one bad reading."""


class LevelProgress(Frozen):
    """How far a level has come."""

    settled: bool
    """Whether the speed stands still, or the wait was long enough."""
    gave_up: bool
    """Whether it never settled within the longest wait."""
    samples: tuple[float | None, ...]
    """Readings taken since, at most as many as wanted; None where one failed."""
    enough: bool
    """Whether the level is done."""


def spaced(times_s: Sequence[float], spacing_s: float = SPACING_S) -> tuple[int, ...]:
    """Return which readings are new.

    Parameters
    ----------
    times_s
        When each was taken, rising [s].
    spacing_s
        Least time between two that count, above 0 [s].

    Returns
    -------
    tuple
        Their places [1].

    Raises
    ------
    ValueError
        If the spacing is not above 0.

    Notes
    -----
    A slack of a thousandth keeps a timer that fires a little early.

    Source: Linux drivers/hwmon/nct6775-core.c, commit 0c23e18c: values are kept for HZ + HZ/2.

    Examples
    --------
    >>> spaced([0.0, 0.5, 1.0, 2.0, 2.5, 4.1])
    (0, 3, 5)
    """
    if not spacing_s > 0:
        raise ValueError("the spacing must be above 0")
    kept: list[int] = []
    for i, at in enumerate(times_s):
        if not kept or at - times_s[kept[-1]] >= spacing_s * 0.999:
            kept.append(i)
    return tuple(kept)


def level_progress(
    times_s: Sequence[float],
    speeds: Sequence[float | None],
    *,
    full_rpm: float,
    step_rpm: float,
    samples: int = SAMPLES,
    spacing_s: float = SPACING_S,
) -> LevelProgress:
    """Tell how far a level has come since its duty was set.

    Parameters
    ----------
    times_s
        When each reading was taken, since the duty was set, rising [s].
    speeds
        The readings; None where one failed [rpm].
    full_rpm
        Speed at full duty, or 0 where it is not known yet [rpm].
    step_rpm
        One step of the display, 0 or more [rpm].
    samples
        Readings wanted after settling, 1 or more [1].
    spacing_s
        Least time between two that count, above 0 [s].

    Returns
    -------
    LevelProgress
        Settled or not, and the readings that count [rpm].

    Raises
    ------
    ValueError
        If the columns differ in length or fewer than one sample is wanted.

    Notes
    -----
    Settled: the median of the last three readings and that of the three before differ by less than 1 % of full speed
    or three steps of the display, whichever is more; after 30 s in any case. The readings that settled it are not
    used again. A dead sensor is not waited for longer than that.

    Examples
    --------
    >>> times = [2.0 * i for i in range(1, 12)]
    >>> speeds = [1490, 1200, 1000, 905, 902, 898, 901, 899, 900, 903, 897]
    >>> progress = level_progress(times, speeds, full_rpm=1500, step_rpm=1)
    >>> progress.settled, progress.samples, progress.enough
    (True, (900, 903, 897), False)
    """
    if len(times_s) != len(speeds) or samples < 1:
        raise ValueError("each reading needs its time, and at least one sample is wanted")
    kept = spaced(times_s, spacing_s)
    times, values = [times_s[i] for i in kept], [speeds[i] for i in kept]
    limit = max(0.01 * full_rpm, 3 * step_rpm)
    done = _settled_at(values, limit)
    late = next((i + 1 for i, at in enumerate(times) if at >= LONGEST_WAIT_S), None)
    gave_up = late is not None and (done is None or done > late)
    start = late if gave_up else done
    taken = () if start is None else tuple(values[start : start + samples])
    return LevelProgress(
        settled=start is not None,
        gave_up=gave_up,
        samples=taken,
        enough=len(taken) == samples,
    )


def _settled_at(values: Sequence[float | None], limit: float) -> int | None:
    """Return the place after which the level stands still; None where it does not yet."""
    for end in range(2 * WINDOW, len(values) + 1):
        window = values[end - 2 * WINDOW : end]
        told = [value for value in window if value is not None]
        if len(told) == 2 * WINDOW and abs(median(told[WINDOW:]) - median(told[:WINDOW])) < limit:
            return end
    return None
