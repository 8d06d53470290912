"""What another speed does to a fan, by the fan laws, and a duty as a byte."""

import math

from commission.physics.within import within


def flow_ratio(speed_ratio: float) -> float:
    """Return how the flow of a fan changes with its speed.

    Parameters
    ----------
    speed_ratio
        New speed over old speed, 0 to 10 [1].

    Returns
    -------
    float
        New flow over old flow [1].

    Raises
    ------
    ValueError
        If the ratio is out of its range.

    Notes
    -----
    Q ~ n: the same fan, density and system, same operating point.

    Source: fan laws, two secondary engineering texts; they stand in ISO 5801 too (from memory, clause not read).

    Examples
    --------
    >>> flow_ratio(0.7)
    0.7
    """
    within(0.0, 10.0, speed_ratio=speed_ratio)
    return speed_ratio


def pressure_ratio(speed_ratio: float) -> float:
    """Return how the pressure of a fan changes with its speed.

    Parameters
    ----------
    speed_ratio
        New speed over old speed, 0 to 10 [1].

    Returns
    -------
    float
        New pressure over old pressure [1].

    Raises
    ------
    ValueError
        If the ratio is out of its range.

    Notes
    -----
    p ~ n²: the same fan, density and system.

    Source: fan laws, as `flow_ratio`.

    Examples
    --------
    >>> round(pressure_ratio(0.7), 3)
    0.49
    """
    return flow_ratio(speed_ratio) ** 2


def power_ratio(speed_ratio: float) -> float:
    """Return how the shaft power of a fan changes with its speed.

    Parameters
    ----------
    speed_ratio
        New speed over old speed, 0 to 10 [1].

    Returns
    -------
    float
        New power over old power [1].

    Raises
    ------
    ValueError
        If the ratio is out of its range.

    Notes
    -----
    P ~ n³: the same fan, density and system. The motor's losses fall more slowly.

    Source: fan laws, as `flow_ratio`.

    Examples
    --------
    >>> round(power_ratio(0.7), 3)
    0.343
    """
    return flow_ratio(speed_ratio) ** 3


def duty_byte(duty_pct: float) -> int:
    """Return the byte that stands for a duty in a chip's register.

    Parameters
    ----------
    duty_pct
        Duty, 0 to 100 [%].

    Returns
    -------
    int
        0 to 255, halves rounded up [1].

    Raises
    ------
    ValueError
        If the duty is out of its range.

    Notes
    -----
    Python's round() rounds halves to even and gives 76 and 178 for 30 % and 70 %.

    Source: 255 = 100 % by Linux Documentation/hwmon/sysfs-interface.rst, commit 2555693d; rounding our own choice.

    Examples
    --------
    >>> [duty_byte(d) for d in (30, 50, 70)]
    [77, 128, 179]
    """
    within(0.0, 100.0, duty_pct=duty_pct)
    return math.floor(duty_pct * 255 / 100 + 0.5)


def duty_of_byte(byte: int) -> float:
    """Return the duty that a byte in a chip's register stands for.

    Parameters
    ----------
    byte
        0 to 255 [1].

    Returns
    -------
    float
        Duty [%].

    Raises
    ------
    ValueError
        If the byte is out of its range.

    Notes
    -----
    The nearest whole per cent gives the same byte back.

    Source: 255 = 100 % by Linux Documentation/hwmon/sysfs-interface.rst, commit 2555693d.

    Examples
    --------
    >>> duty_of_byte(255), round(duty_of_byte(77), 1)
    (100.0, 30.2)
    """
    within(0, 255, byte=byte)
    return byte * 100 / 255
