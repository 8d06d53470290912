"""What tubes, reservoirs and radiators hold, and liquid volumes referred to one temperature."""

import math

from commission.physics import glycol as mixture
from commission.physics import require
from commission.physics.glycol import Glycol
from commission.physics.loop_volume import Uncertain
from commission.physics.within import within


def tube_volume(bore_m: Uncertain, length_m: Uncertain) -> Uncertain:
    """Return the volume of a tube.

    Parameters
    ----------
    bore_m
        Inner diameter, above 0, and its standard uncertainty [m].
    length_m
        Length, above 0, and its standard uncertainty [m].

    Returns
    -------
    Uncertain
        Volume and its standard uncertainty [m3].

    Raises
    ------
    ValueError
        If a dimension is not above 0 or an uncertainty is negative.

    Notes
    -----
    π/4·d²·L. The bore counts twice, so its error does too. A label may state the outer diameter: the bore is that less
    twice the wall.

    Source: geometry; JCGM 100:2008, 5.1.2.

    Examples
    --------
    Hand calculation: 10(0.1) mm by 2500(20) mm is 196.3495 mL, √((2·1 %)² + (0.8 %)²) = 2.154 % of it.

    >>> v = tube_volume(Uncertain(10e-3, 0.1e-3), Uncertain(2.5, 0.02))
    >>> f"{v.value * 1e6:.4f} {v.u * 1e6:.4f}"
    '196.3495 4.2295'
    """
    require.positive(bore_m=bore_m.value, length_m=length_m.value)
    require.not_negative(u_bore_m=bore_m.u, u_length_m=length_m.u)
    volume = math.pi / 4 * bore_m.value * bore_m.value * length_m.value
    return Uncertain(volume, volume * math.hypot(2 * bore_m.u / bore_m.value, length_m.u / length_m.value))


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


def flat_tube_volume(tubes: int, length_m: float, width_m: float, gap_m: float) -> float:
    """Return what the flat tubes of a radiator hold, without its end tanks.

    Parameters
    ----------
    tubes
        Number of tubes, 1 or more [1].
    length_m
        Length of a tube, above 0 [m].
    width_m
        Inner width of a tube, above gap_m [m].
    gap_m
        Inner height of a tube, above 0 [m].

    Returns
    -------
    float
        Volume [m3].

    Raises
    ------
    ValueError
        If a dimension is out of range.

    Notes
    -----
    N·L·((w − h)·h + π/4·h²): two half circles and a rectangle. Add the end tanks; ±15 % at best.

    Source: geometry.

    Examples
    --------
    Hand calculation: 12 tubes of 16 mm by 1.3 mm by 360 mm: 20.43732 mm² each, 88.2892 mL.

    >>> round(flat_tube_volume(12, 0.360, 0.016, 0.0013) * 1e6, 4)
    88.2892
    """
    if tubes < 1:
        raise ValueError("there must be at least one tube")
    require.positive(length_m=length_m, gap_m=gap_m, width_beyond_gap_m=width_m - gap_m)
    return tubes * length_m * ((width_m - gap_m) * gap_m + math.pi / 4 * gap_m * gap_m)


def volume_at(volume_m3: float, glycol: Glycol, mass_fraction: float, from_k: float, to_k: float) -> float:
    """Return the volume that the same liquid has at another temperature.

    Parameters
    ----------
    volume_m3
        Volume, 0 or more [m3].
    glycol
        Which glycol [word].
    mass_fraction
        Mass fraction, 0 to 0.60 [1].
    from_k
        Temperature at which the volume was read, from the freezing point to 373.15 [K].
    to_k
        Temperature to which it is referred, from the freezing point to 373.15 [K].

    Returns
    -------
    float
        Volume [m3].

    Raises
    ------
    ValueError
        If a value is out of range.

    Notes
    -----
    V·ρ(from)/ρ(to). A level that rose only because the liquid warmed is neither air nor a leak. The reservoir's own
    expansion is left out.

    Source: conservation of mass, density as in ``glycol.density``.

    Examples
    --------
    900 mL of water warm from 20 to 30 °C: IAPWS-95 gives 900·(998.2072/995.6495 − 1) = 2.312 mL more.

    >>> round((volume_at(900e-6, Glycol.PROPYLENE, 0.0, 293.15, 303.15) - 900e-6) * 1e6, 3)
    2.312
    """
    require.not_negative(volume_m3=volume_m3)
    before = mixture.density(glycol, mass_fraction, from_k)
    return volume_m3 * before / mixture.density(glycol, mass_fraction, to_k)
