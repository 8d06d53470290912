"""Refuse numbers outside the range for which a formula was published: nothing is extrapolated."""

from commission.physics import require


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
    require.finite(**values)
    for name, value in values.items():
        if not low <= value <= high:
            raise ValueError(f"{name} must be between {low:g} and {high:g}, not {value:.6g}")
