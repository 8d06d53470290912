"""Air caught in a filled loop: what squeezing it tells, and how much of the answer is only the tubes stretching."""

import math

from commission.physics import require
from commission.physics.loop_volume import Uncertain
from commission.physics.water import COMPRESSIBILITY_PER_PA


def trapped_air(
    fall_m3: Uncertain,
    first_pa: Uncertain,
    second_pa: Uncertain,
    *,
    compliance_m3_pa: Uncertain | None = None,
    liquid_m3: float = 0.0,
    vapour_pa: float = 0.0,
) -> Uncertain:
    """Return the air caught in a loop from the change of level that a change of pressure makes.

    Parameters
    ----------
    fall_m3
        Fall of the level as a volume, negative for a rise under vacuum, and its standard uncertainty [m3].
    first_pa
        Absolute pressure before, above vapour_pa, and its standard uncertainty [Pa].
    second_pa
        Absolute pressure after, above vapour_pa, not first_pa, and its standard uncertainty [Pa].
    compliance_m3_pa
        How much the tubes widen for each pascal, and its standard uncertainty; None for rigid walls [m3/Pa].
    liquid_m3
        Volume of liquid under pressure, for its own compression; 0 leaves that out [m3].
    vapour_pa
        Pressure of the vapour in the bubbles; 0 leaves it out [Pa].

    Returns
    -------
    Uncertain
        Volume of the air at first_pa, and its standard uncertainty [m3]; negative where the walls explain more than
        the whole fall.

    Raises
    ------
    ValueError
        If a value is out of range, the pressures are equal, or the level moved against the pressure.

    Notes
    -----
    V1 = (ΔV − C·Δp − κ·V_l·Δp)·(p2 − p_v)/(p2 − p1). Isothermal: wait two minutes; a reading at once is up to 1.4 times
    too small. Any air that is meant to be there, such as a headspace, is counted as well. Absolute pressures only.
    Uncertainties are independent and of first order; that of a pressure also acts through the walls.

    Source: Boyle's law; JCGM 100:2008, 5.1.2 for the uncertainty.

    Examples
    --------
    Hand calculation: 6.0 mL from 101.325 to 131.325 kPa: 6·131.325/30 = 26.265 mL.

    >>> air = trapped_air(Uncertain(6e-6), Uncertain(101_325), Uncertain(131_325))
    >>> round(air.value * 1e6, 3)
    26.265
    """
    walls = compliance_m3_pa or Uncertain(0.0)
    p1, p2 = first_pa.value, second_pa.value
    require.finite(fall_m3=fall_m3.value)
    require.positive(first_pa=p1, second_pa=p2, first_above_vapour=p1 - vapour_pa, second_above_vapour=p2 - vapour_pa)
    require.not_negative(vapour_pa=vapour_pa, liquid_m3=liquid_m3, compliance_m3_pa=walls.value)
    require.not_negative(u_fall=fall_m3.u, u_first=first_pa.u, u_second=second_pa.u, u_compliance=walls.u)
    step = p2 - p1
    if step == 0:
        raise ValueError("the pressure did not change: nothing can be told from the level")
    if fall_m3.value * step < 0:
        raise ValueError("the level moved against the pressure: check which reading came first")
    give = give_without_air(walls.value, liquid_m3)
    value = (fall_m3.value / step - give) * (p2 - vapour_pa)
    u = math.hypot(
        (p2 - vapour_pa) / step * fall_m3.u,
        (p2 - vapour_pa) * walls.u,
        fall_m3.value / step * (p2 - vapour_pa) / step * first_pa.u,
        (fall_m3.value / step * (p1 - vapour_pa) / step + give) * second_pa.u,
    )
    return Uncertain(value, u)


def give_without_air(compliance_m3_pa: float, liquid_m3: float) -> float:
    """Return how much a loop without any air takes for each pascal: its tubes widen and its liquid is squeezed.

    Parameters
    ----------
    compliance_m3_pa
        How much the tubes widen, 0 or more [m3/Pa].
    liquid_m3
        Volume of liquid under pressure, 0 or more [m3].

    Returns
    -------
    float
        C + κ·V [m3/Pa].

    Raises
    ------
    ValueError
        If a value is negative or not finite.

    Notes
    -----
    A litre of water gives 0.05 mL for a bar.

    Source: definition of compressibility; κ of water as in ``water``.

    Examples
    --------
    Hand calculation: 4.58914e-10/Pa of 1 L, for 1 bar.

    >>> round(give_without_air(0.0, 1e-3) * 1e5 * 1e6, 4)
    0.0459
    """
    require.not_negative(compliance_m3_pa=compliance_m3_pa, liquid_m3=liquid_m3)
    return compliance_m3_pa + COMPRESSIBILITY_PER_PA * liquid_m3


def tube_compliance(volume_m3: float, bore_m: float, wall_m: float, modulus_pa: float) -> float:
    """Return how much a tube widens for each pascal.

    Parameters
    ----------
    volume_m3
        Volume of the tube, 0 or more [m3].
    bore_m
        Inner diameter, above 0 [m].
    wall_m
        Thickness of the wall, above 0 [m].
    modulus_pa
        Modulus of elasticity of the wall, above 0 [Pa].

    Returns
    -------
    float
        Compliance [m3/Pa].

    Raises
    ------
    ValueError
        If a value is out of range.

    Notes
    -----
    V·d/(e·E), thin wall, free ends: a guide only. Soft tubes have walls as thick as their bore, a modulus that falls
    with warmth, and they creep for hours. Some moduli (from memory): rigid acrylic or PETG 2 to 3 GPa, soft PVC or
    rubber 5 to 20 MPa.

    Source: hoop stress of a thin tube (textbook, from memory).

    Examples
    --------
    Hand calculation: 1 L of soft tube, 10 mm bore, 2 mm wall, 10 MPa: 1000·10/(2·10) = 500 mL/MPa, 50 mL for 1 bar.

    >>> round(tube_compliance(1e-3, 0.010, 0.002, 10e6) * 1e5 * 1e6, 6)
    50.0
    """
    require.not_negative(volume_m3=volume_m3)
    require.positive(bore_m=bore_m, wall_m=wall_m, modulus_pa=modulus_pa)
    return volume_m3 * bore_m / (wall_m * modulus_pa)
