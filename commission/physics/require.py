"""Refuse numbers that no measurement can give, or for which no formula was published, before they reach one."""

import math


def finite(**values: float) -> None:
    """Refuse a value that is NaN or infinite.

    Parameters
    ----------
    **values
        The values by name [any].

    Raises
    ------
    ValueError
        If a value is not finite; the message names it.

    Notes
    -----
    Every function of this package asks this of its arguments, so NaN never flows through.

    Source: none; a check, not physics.

    Examples
    --------
    >>> finite(pressure_pa=float("nan"))
    Traceback (most recent call last):
    ValueError: pressure_pa must be a finite number, not nan
    """
    for name, value in values.items():
        if not math.isfinite(value):
            raise ValueError(f"{name} must be a finite number, not {value}")


def positive(**values: float) -> None:
    """Refuse a value that is not a finite number above 0.

    Parameters
    ----------
    **values
        The values by name [any].

    Raises
    ------
    ValueError
        If a value is 0, negative or not finite; the message names it.

    Notes
    -----
    For volumes, absolute pressures, absolute temperatures and lengths of time.

    Source: none; a check, not physics.

    Examples
    --------
    >>> positive(volume_m3=0.0)
    Traceback (most recent call last):
    ValueError: volume_m3 must be above 0, not 0.0
    """
    finite(**values)
    for name, value in values.items():
        if value <= 0:
            raise ValueError(f"{name} must be above 0, not {value}")


def not_negative(**values: float) -> None:
    """Refuse a value that is negative or not finite.

    Parameters
    ----------
    **values
        The values by name [any].

    Raises
    ------
    ValueError
        If a value is negative or not finite; the message names it.

    Notes
    -----
    For uncertainties and display steps, which may be 0.

    Source: none; a check, not physics.

    Examples
    --------
    >>> not_negative(u_volume_m3=-1.0)
    Traceback (most recent call last):
    ValueError: u_volume_m3 must be 0 or more, not -1.0
    """
    finite(**values)
    for name, value in values.items():
        if value < 0:
            raise ValueError(f"{name} must be 0 or more, not {value}")


def within(low: float, high: float, **values: float) -> None:
    """Refuse a value outside a range.

    Parameters
    ----------
    low
        Smallest value that is allowed [as the values].
    high
        Largest value that is allowed [as the values].
    **values
        The values by name [any].

    Raises
    ------
    ValueError
        If a value is not finite, below low or above high; the message names it and the range.

    Notes
    -----
    Both ends are allowed.

    Source: none; a check, not physics.

    Examples
    --------
    >>> within(0.0, 0.6, mass_fraction=0.7)
    Traceback (most recent call last):
    ValueError: mass_fraction must be between 0 and 0.6, not 0.7
    """
    finite(**values)
    for name, value in values.items():
        if not low <= value <= high:
            raise ValueError(f"{name} must be between {low:g} and {high:g}, not {value:.6g}")
