"""What a reservoir holds up to a level."""

import math

from commission.physics import require
from commission.physics.require import within


def ring_area(bore_m: float, insert_m: float = 0.0) -> float:
    """Return the free cross-section of a round reservoir: what one metre of level is worth.

    Parameters
    ----------
    bore_m
        Inner diameter, above 0 [m].
    insert_m
        Diameter of a tube that stands in it, 0 to below bore_m; 0 for none [m].

    Returns
    -------
    float
        Area [m2]; in mL a millimetre it is the same number times 1000.

    Raises
    ------
    ValueError
        If a diameter is out of range.

    Notes
    -----
    π/4·(D² − d²). Only in the straight part: caps, domes and the pump's top need a measured volume of their own.

    Source: geometry.

    Examples
    --------
    Hand calculation: 60 mm bore is π·3600/4000 = 2.827433 mL a millimetre.

    >>> round(ring_area(0.060) * 1e3, 6)
    2.827433
    """
    require.positive(bore_m=bore_m)
    require.not_negative(insert_m=insert_m)
    require.positive(gap_m=bore_m - insert_m)
    return math.pi / 4 * (bore_m - insert_m) * (bore_m + insert_m)


def level_volume(level_m: float, height_m: float, bore_m: float, insert_m: float = 0.0) -> float:
    """Return the volume between the zero mark of a round reservoir and a level.

    Parameters
    ----------
    level_m
        Level above the zero mark, 0 to height_m [m].
    height_m
        Height of the straight part above the zero mark, above 0 [m].
    bore_m
        Inner diameter, above 0 [m].
    insert_m
        Diameter of a tube that stands in it, 0 to below bore_m [m].

    Returns
    -------
    float
        Volume [m3].

    Raises
    ------
    ValueError
        If the level lies outside the straight part, or a dimension is out of range.

    Notes
    -----
    The reservoir stands upright; in a tilted one take the mean of the levels on both sides.

    Source: geometry.

    Examples
    --------
    Hand calculation: 60 mm bore to the mark at 150 mm: 424.1150 mL.

    >>> round(level_volume(0.150, 0.200, 0.060) * 1e6, 3)
    424.115
    """
    require.positive(height_m=height_m)
    within(0.0, height_m, level_m=level_m)
    return level_m * ring_area(bore_m, insert_m)
