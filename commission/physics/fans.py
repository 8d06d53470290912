"""What another speed does to the flow of a fan, by the fan laws."""

from commission.physics.require import within


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
