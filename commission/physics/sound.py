"""Sound of fans: several sources together, and an estimate of what another speed changes."""

import math
from collections.abc import Sequence

from commission.physics import require
from commission.physics.require import within

SPEED_SLOPE = 50.0
"""Level change for a tenfold speed [dB]; common practice, no source."""
SPEED_SLOPE_HIGH = 55.0
"""The other slope in use, as the edge of the estimate's band [dB]. Source: engineering texts on fan noise, from
memory, not verified."""


def level_of_sources(levels_db: Sequence[float]) -> float:
    """Return the level of several sources together.

    Parameters
    ----------
    levels_db
        Level of each source at the same place, −20 to 200, at least one [dB].

    Returns
    -------
    float
        Level of all together [dB].

    Raises
    ------
    ValueError
        If there is none or a level is out of its range.

    Notes
    -----
    L = 10·log10 Σ 10^(Li/10): incoherent sources, as fans are.

    Source: definition of the level; the sum is common practice, no source read.

    Examples
    --------
    Hand calculation: 10·log10(1000 + 100).

    >>> round(level_of_sources([30, 20]), 2)
    30.41
    """
    if not levels_db:
        raise ValueError("levels_db must hold at least one level")
    for level in levels_db:
        within(-20.0, 200.0, level_db=level)
    return 10 * math.log10(sum(10 ** (level / 10) for level in levels_db))


def level_of_equal_sources(level_db: float, sources: int) -> float:
    """Return the level of equal sources together.

    Parameters
    ----------
    level_db
        Level of one, −20 to 200 [dB].
    sources
        How many, 1 to 1000 [1].

    Returns
    -------
    float
        Level of all together [dB].

    Raises
    ------
    ValueError
        If a value is out of its range.

    Notes
    -----
    + 10·log10 N: twice as many are 3 dB more.

    Source: as `level_of_sources`.

    Examples
    --------
    >>> round(level_of_equal_sources(24.0, 6), 2)
    31.78
    """
    within(-20.0, 200.0, level_db=level_db)
    within(1, 1000, sources=sources)
    return level_db + 10 * math.log10(sources)


def level_change(speed_ratio: float, slope_db: float = SPEED_SLOPE) -> float:
    """Return an estimate of what another speed does to a fan's level.

    Parameters
    ----------
    speed_ratio
        New speed over old speed, above 0, 10 at most [1].
    slope_db
        Change for a tenfold speed, 10 to 100 [dB].

    Returns
    -------
    float
        Change of the level; an estimate [dB].

    Raises
    ------
    ValueError
        If a value is out of its range.

    Notes
    -----
    ΔL = 50·log10(n2/n1). Broadband noise of the same fan at the same operating point; no tones of bearing or motor,
    not near stall. 55·log10 is in use as well: take the difference as the band of the estimate.

    Source: common practice, no source.

    Examples
    --------
    "A fifth slower is 5 dB quieter" (common practice): 50·log10(0.8).

    >>> round(level_change(0.8), 2), round(level_change(0.8, 55.0), 2)
    (-4.85, -5.33)
    """
    require.positive(speed_ratio=speed_ratio)
    within(0.0, 10.0, speed_ratio=speed_ratio)
    within(10.0, 100.0, slope_db=slope_db)
    return slope_db * math.log10(speed_ratio)
