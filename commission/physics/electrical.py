"""Power cables under load: current of a pin, voltage drop, heat of a wire."""

from commission.physics import require
from commission.physics.wire import GAUGE_K, wire_resistance
from commission.physics.within import within


def current_per_pin(current_a: float, pins: int) -> float:
    """Return the current of one pin where all share alike.

    Parameters
    ----------
    current_a
        Current of the connector, 0 or more [A].
    pins
        Pins that carry it, 1 to 24 [1].

    Returns
    -------
    float
        Current of one pin [A].

    Raises
    ------
    ValueError
        If a value is out of its range.

    Notes
    -----
    Pins never share quite alike; a worn contact passes its share on to its neighbours.

    Source: Kirchhoff's current law with equal contacts.

    Examples
    --------
    600 W at 12 V over six pins, computed: 50/6.

    >>> round(current_per_pin(50.0, 6), 5)
    8.33333
    """
    require.not_negative(current_a=current_a)
    within(1, 24, pins=pins)
    return current_a / pins


def cable_drop(
    current_a: float,
    pairs: int,
    gauge: int,
    length_m: float,
    *,
    contacts: int = 0,
    contact_ohm: float = 0.0,
    temperature_k: float = GAUGE_K,
) -> float:
    """Return the voltage that a power cable loses, there and back.

    Parameters
    ----------
    current_a
        Current of the connector, 0 or more [A].
    pairs
        Supply wires, with as many returns, 1 to 24 [1].
    gauge
        American wire gauge, −3 (0000) to 40 [AWG].
    length_m
        Length of the cable, above 0, 100 at most [m].
    contacts
        Contacts in each wire's path, 0 to 20 [1].
    contact_ohm
        Resistance of one contact, 0 to 1 [Ω].
    temperature_k
        Temperature of the wire, 233 to 423 [K].

    Returns
    -------
    float
        Voltage lost [V].

    Raises
    ------
    ValueError
        If a value is out of its range.

    Notes
    -----
    ΔU = 2·I·(R'·L + n·R_c) with I the current of one wire.

    Source: Ohm's law; resistance as `wire_resistance`.

    Examples
    --------
    26 A over 4 + 4 wires of AWG 18, 0.65 m, computed from the same formulas:

    >>> round(cable_drop(26.0, 4, 18, 0.65) * 1e3, 3)
    177.009
    """
    ohm = wire_resistance(gauge, length_m, contacts=contacts, contact_ohm=contact_ohm, temperature_k=temperature_k)
    return 2 * current_per_pin(current_a, pairs) * ohm


def wire_heat(current_a: float, gauge: int, length_m: float, temperature_k: float = GAUGE_K) -> float:
    """Return the heat that one wire gives off.

    Parameters
    ----------
    current_a
        Current of the wire, 0 or more [A].
    gauge
        American wire gauge, −3 (0000) to 40 [AWG].
    length_m
        Length, above 0, 100 at most [m].
    temperature_k
        Temperature of the wire, 233 to 423 [K].

    Returns
    -------
    float
        Power [W].

    Raises
    ------
    ValueError
        If a value is out of its range.

    Notes
    -----
    P = I²·R. Wires in a sleeve warm each other; this is one wire's heat, not its temperature.

    Source: Joule's law; resistance as `wire_resistance`.

    Examples
    --------
    6.5 A in 0.65 m of AWG 18, computed from the same formulas:

    >>> round(wire_heat(6.5, 18, 0.65), 4)
    0.5753
    """
    require.not_negative(current_a=current_a)
    return current_a * current_a * wire_resistance(gauge, length_m, temperature_k=temperature_k)
