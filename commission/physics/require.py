"""Refuse numbers that no measurement can give, by name, before they reach a formula."""

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
