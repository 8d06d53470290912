"""Copper wire by its gauge: diameter, area, resistance at a temperature."""

import math

from commission.physics import require
from commission.physics.require import within

COPPER_OHM_M = 1.7241e-8
"""Resistivity of annealed copper at 20 °C [Ω·m]. Source: IACS; from memory."""
COPPER_PER_K = 0.00393
"""Its temperature coefficient at 20 °C [1/K]. Source: IACS; from memory."""
GAUGE_K = 293.15
"""Temperature to which both are referred [K]: 20 °C. Source: IACS; from memory."""
FINEST, THICKEST = 40, -3
"""Gauges between which the formula is used: AWG 40 and AWG 0000 [AWG]. Source: ASTM B258, from memory."""


def wire_diameter(gauge: int) -> float:
    """Return the diameter of a solid wire.

    Parameters
    ----------
    gauge
        American wire gauge, −3 (0000) to 40 [AWG].

    Returns
    -------
    float
        Diameter [m].

    Raises
    ------
    ValueError
        If the gauge is out of its range.

    Notes
    -----
    d = 0.127 mm · 92^((36 − n)/39).

    Source: definition of the gauge, ASTM B258 (front matter read only); tables of GSU HyperPhysics agree.

    Examples
    --------
    AWG 36 is 0.127 mm by definition:

    >>> round(wire_diameter(36) * 1e3, 3)
    0.127
    """
    within(THICKEST, FINEST, gauge=gauge)
    return float(0.127e-3 * 92.0 ** ((36 - gauge) / 39))


def wire_area(gauge: int) -> float:
    """Return the cross-section of a solid wire.

    Parameters
    ----------
    gauge
        American wire gauge, −3 (0000) to 40 [AWG].

    Returns
    -------
    float
        Area [m2].

    Raises
    ------
    ValueError
        If the gauge is out of its range.

    Notes
    -----
    π/4·d².

    Source: as `wire_diameter`.

    Examples
    --------
    >>> round(wire_area(18) * 1e6, 3)
    0.823
    """
    return math.pi / 4 * wire_diameter(gauge) ** 2


def resistance_per_metre(gauge: int, temperature_k: float = GAUGE_K) -> float:
    """Return the resistance of a metre of solid copper wire.

    Parameters
    ----------
    gauge
        American wire gauge, −3 (0000) to 40 [AWG].
    temperature_k
        Temperature of the wire, 233 to 423 [K].

    Returns
    -------
    float
        Resistance of a metre [Ω/m].

    Raises
    ------
    ValueError
        If a value is out of its range.

    Notes
    -----
    R' = ρ/A·(1 + 0.00393·(T − 293.15)). Stranded wire has about 2 % more (from memory).

    Source: IACS copper (from memory) and the gauge's formula; a published table gives 6.385 Ω/1000 ft for AWG 18.

    Examples
    --------
    That table's value, in Ω/1000 ft:

    >>> round(resistance_per_metre(18) * 304.8, 3)
    6.385
    """
    within(233.0, 423.0, temperature_k=temperature_k)
    return COPPER_OHM_M / wire_area(gauge) * (1 + COPPER_PER_K * (temperature_k - GAUGE_K))


def wire_resistance(
    gauge: int,
    length_m: float,
    *,
    contacts: int = 0,
    contact_ohm: float = 0.0,
    temperature_k: float = GAUGE_K,
) -> float:
    """Return the resistance of one wire of a cable with its crimped contacts.

    Parameters
    ----------
    gauge
        American wire gauge, −3 (0000) to 40 [AWG].
    length_m
        Length, above 0, 100 at most [m].
    contacts
        Contacts in its path, 0 to 20 [1].
    contact_ohm
        Resistance of one contact, 0 to 1 [Ω].
    temperature_k
        Temperature of the wire, 233 to 423 [K].

    Returns
    -------
    float
        Resistance from end to end [Ω].

    Raises
    ------
    ValueError
        If a value is out of its range.

    Notes
    -----
    R = R'·L + n·R_c. A two-wire meter with steps of 0.1 Ω cannot see it.

    Source: as `resistance_per_metre`; 10 mΩ is the largest initial resistance of a contact (from memory).

    Examples
    --------
    0.6 m of AWG 18 with two contacts of 10 mΩ, computed from the same formulas:

    >>> round(wire_resistance(18, 0.6, contacts=2, contact_ohm=0.010) * 1e3, 3)
    32.569
    """
    require.positive(length_m=length_m)
    within(0.0, 100.0, length_m=length_m)
    within(0, 20, contacts=contacts)
    within(0.0, 1.0, contact_ohm=contact_ohm)
    return resistance_per_metre(gauge, temperature_k) * length_m + contacts * contact_ohm
