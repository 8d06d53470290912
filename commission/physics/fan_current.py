"""Fan current: from watts, and estimates at part speed that never go into a budget."""

from commission.physics import require
from commission.physics.within import within

FAN_SUPPLY_V = 12.0
"""Supply of fans and pumps on headers [V]. Source: Intel 4-wire specification rev 1.3, p. 9 (12 V ± 5 %)."""


def current_of_power(power_w: float, supply_v: float = FAN_SUPPLY_V) -> float:
    """Return the current behind a power in watts.

    Parameters
    ----------
    power_w
        Power, 0 or more [W].
    supply_v
        Voltage, above 0 [V].

    Returns
    -------
    float
        Current [A].

    Raises
    ------
    ValueError
        If a value is out of its range.

    Notes
    -----
    I = P/U, for labels that give watts only.

    Source: definition of power.

    Examples
    --------
    >>> current_of_power(18.0)
    1.5
    """
    require.not_negative(power_w=power_w)
    require.positive(supply_v=supply_v)
    return power_w / supply_v


def current_at_speed_pwm(rated_a: float, electronics_a: float, speed_ratio: float) -> float:
    """Return an estimate of a 4-wire fan's current at part speed.

    Parameters
    ----------
    rated_a
        Current at full speed, above 0 [A].
    electronics_a
        Part of it that the electronics take, 0 to rated_a [A].
    speed_ratio
        Speed over full speed, 0 to 1 [1].

    Returns
    -------
    float
        Current at 12 V; an estimate, never for a header's budget [A].

    Raises
    ------
    ValueError
        If a value is out of its range.

    Notes
    -----
    I ≈ I0 + (Ir − I0)·(n/n0)³. The motor's efficiency falls at low speed, so the true current is higher. A header
    that loses its signal runs the fan at full speed: budgets take the full current.

    Source: fan laws at constant voltage; our own estimate.

    Examples
    --------
    Hand calculation: 0.02 + 0.18/8.

    >>> round(current_at_speed_pwm(0.20, 0.02, 0.5), 4)
    0.0425
    """
    require.positive(rated_a=rated_a)
    within(0.0, rated_a, electronics_a=electronics_a)
    within(0.0, 1.0, speed_ratio=speed_ratio)
    return float(electronics_a + (rated_a - electronics_a) * speed_ratio**3)


def current_at_speed_voltage(rated_a: float, speed_ratio: float) -> float:
    """Return an estimate of a voltage-driven fan's current at part speed.

    Parameters
    ----------
    rated_a
        Current at full speed, above 0 [A].
    speed_ratio
        Speed over full speed, 0 to 1 [1].

    Returns
    -------
    float
        Current at the lowered voltage; an estimate, never for a header's budget [A].

    Raises
    ------
    ValueError
        If a value is out of its range.

    Notes
    -----
    P = U·I with U ~ n and P ~ n³ gives I ≈ Ir·(n/n0)².

    Source: fan laws; our own estimate.

    Examples
    --------
    Hand calculation: 0.20/4.

    >>> round(current_at_speed_voltage(0.20, 0.5), 4)
    0.05
    """
    require.positive(rated_a=rated_a)
    within(0.0, 1.0, speed_ratio=speed_ratio)
    return float(rated_a * speed_ratio**2)


def speed_share_at_voltage(supply_v: float, loss_v: float = 1.0) -> float:
    """Return an estimate of a 3-wire fan's speed at a lowered voltage.

    Parameters
    ----------
    supply_v
        Voltage at the fan, 0 to 12 [V].
    loss_v
        Voltage lost inside it, 0 to 5 [V].

    Returns
    -------
    float
        Speed over speed at 12 V, 0 where the voltage is lost whole; an estimate [1].

    Raises
    ------
    ValueError
        If a value is out of its range.

    Notes
    -----
    (U − loss)/(12 − loss). Below about 5 V many fans stop (common practice, no source); this line does not know that.

    Source: common practice, no source; figures computed.

    Examples
    --------
    >>> round(speed_share_at_voltage(7.0), 2)
    0.55
    """
    within(0.0, FAN_SUPPLY_V, supply_v=supply_v)
    within(0.0, 5.0, loss_v=loss_v)
    return max(0.0, supply_v - loss_v) / (FAN_SUPPLY_V - loss_v)
