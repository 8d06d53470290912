"""What the specification of 4-wire fans allows: steady current, signal, and the curve of speed over duty.

Source of every figure: Intel, 4-Wire Pulse Width Modulation (PWM) Controlled Fans Specification, rev 1.3, September
2005; the pages stand beside the figures.
"""

from collections.abc import Sequence

from commission.physics import require
from commission.physics.require import within

STEADY_A = 1.5
"""Largest steady current of one fan [A]. Source: rev 1.3, p. 9."""
SINK_A = (0.005, 0.008)
"""Current that a board's output must sink, and should sink [A]. Source: rev 1.3, p. 10."""
PULL_UP_A = 0.005
"""Largest current that one fan's control input gives [A]. Source: rev 1.3, p. 9."""
LOWEST_SHARE = 0.30
"""Lowest speed must be at most this share of the highest [1]. Source: rev 1.3, p. 13."""
CURVE_POINTS = 10.0
"""How far speed in % of the highest may be from the duty [%]. Source: rev 1.3, p. 14; read as percentage points."""


def curve_deviation(duties_pct: Sequence[float], speeds_rpm: Sequence[float], highest_rpm: float) -> float:
    """Return how far a curve of speed over duty is from the straight one.

    Parameters
    ----------
    duties_pct
        Duties above the fan's minimum, each 0 to 100, at least one [%].
    speeds_rpm
        Speeds at them, each 0 or more, as many [rpm].
    highest_rpm
        Speed at full duty, above 0 [rpm].

    Returns
    -------
    float
        Largest difference of speed in % of the highest from the duty; 10 is allowed [%].

    Raises
    ------
    ValueError
        If a value is out of its range or the lengths differ.

    Notes
    -----
    Percentage points: the specification does not say which per cent it means.

    Source: Intel 4-wire specification rev 1.3, p. 14.

    Examples
    --------
    Hand calculation: 450 of 2000 rpm at 20 % is 2.5 points off, 1100 at 50 % is 5.

    >>> curve_deviation([20, 50], [450, 1100], 2000)
    5.0
    """
    require.positive(highest_rpm=highest_rpm)
    if not duties_pct or len(duties_pct) != len(speeds_rpm):
        raise ValueError("duties_pct and speeds_rpm must be as long as each other and not empty")
    for duty, speed in zip(duties_pct, speeds_rpm, strict=True):
        within(0.0, 100.0, duty_pct=duty)
        require.not_negative(speed_rpm=speed)
    return max(abs(100 * speed / highest_rpm - duty) for duty, speed in zip(duties_pct, speeds_rpm, strict=True))


def fans_on_one_signal(sink_a: float, input_a: float = PULL_UP_A) -> int:
    """Return how many fans one control output drives.

    Parameters
    ----------
    sink_a
        Current that the output sinks, above 0 [A].
    input_a
        Current that each fan's input gives, above 0; by default the most that is allowed [A].

    Returns
    -------
    int
        Number of fans [1].

    Raises
    ------
    ValueError
        If a current is not above 0.

    Notes
    -----
    By the worst case of the specification an output drives a single fan. Fans with 0.5 mA (10 kΩ at 5 V, an
    assumption from memory) may be 10 to 16. Several fans on one output need an open-drain buffer (p. 11). A check of
    its own, apart from supply current: it holds on powered hubs too.

    Source: Intel 4-wire specification rev 1.3, pp. 9-11.

    Examples
    --------
    >>> fans_on_one_signal(0.005), fans_on_one_signal(0.008), fans_on_one_signal(0.005, 0.0005)
    (1, 1, 10)
    """
    require.positive(sink_a=sink_a, input_a=input_a)
    return int(sink_a / input_a + 1e-9)
