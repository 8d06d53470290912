"""What the specification of 4-wire fans allows: supply, currents, signal, and the curve of speed over duty.

Source of every figure: Intel, 4-Wire Pulse Width Modulation (PWM) Controlled Fans Specification, rev 1.3, September
2005; the pages stand beside the figures.
"""

from collections.abc import Sequence
from enum import StrEnum

from commission.physics import require
from commission.physics.within import within

SUPPLY_V = (11.4, 12.6)
"""Supply, 12 V ± 5 % [V]. Source: rev 1.3, p. 9."""
STEADY_A = 1.5
"""Largest steady current of one fan [A]. Source: rev 1.3, p. 9."""
START_A = 2.2
"""Largest current of one fan at start [A]. Source: rev 1.3, p. 9."""
START_S = 1.0
"""Longest time for which it may draw more than steady [s]. Source: rev 1.3, p. 9."""
SIGNAL_HZ = (21_000.0, 28_000.0)
"""Frequency of the control signal, target 25 kHz [Hz]. Source: rev 1.3, p. 9."""
SINK_A = (0.005, 0.008)
"""Current that a board's output must sink, and should sink [A]. Source: rev 1.3, p. 10."""
PULL_UP_A = 0.005
"""Largest current that one fan's control input gives [A]. Source: rev 1.3, p. 9."""
LOWEST_SHARE = 0.30
"""Lowest speed must be at most this share of the highest [1]. Source: rev 1.3, p. 13."""
CURVE_POINTS = 10.0
"""How far speed in % of the highest may be from the duty [%]. Source: rev 1.3, p. 14; read as percentage points."""


class BelowMinimum(StrEnum):
    """What a fan does below its lowest duty."""

    STAYS = "type A: stays at its lowest speed"
    OFF_AT_ZERO = "type B: stays at its lowest speed, off at 0 %"
    STOPS = "type C: stops where it can no longer commutate, off at 0 %"


def supply_allowed(supply_v: float) -> bool:
    """Tell whether a supply is within the specification.

    Parameters
    ----------
    supply_v
        Voltage at the fan [V].

    Returns
    -------
    bool
        Whether it is within 11.4 to 12.6 V [yes or no].

    Raises
    ------
    ValueError
        If the voltage is not finite.

    Notes
    -----
    4-wire fans at full supply only; a header in voltage mode starves them.

    Source: Intel 4-wire specification rev 1.3, p. 9.

    Examples
    --------
    >>> [supply_allowed(v) for v in (11.39, 11.4, 12.6, 12.61)]
    [False, True, True, False]
    """
    require.finite(supply_v=supply_v)
    return SUPPLY_V[0] <= supply_v <= SUPPLY_V[1]


def steady_current_allowed(current_a: float) -> bool:
    """Tell whether one fan's steady current is within the specification.

    Parameters
    ----------
    current_a
        Steady current of one fan at 12.6 V in free air, 0 or more [A].

    Returns
    -------
    bool
        Whether it is 1.5 A or less [yes or no].

    Raises
    ------
    ValueError
        If the current is negative or not finite.

    Notes
    -----
    Of one fan, not of a chain; the header's own rating is another limit.

    Source: Intel 4-wire specification rev 1.3, p. 9.

    Examples
    --------
    >>> steady_current_allowed(1.5), steady_current_allowed(1.51)
    (True, False)
    """
    require.not_negative(current_a=current_a)
    return current_a <= STEADY_A


def start_current_allowed(current_a: float, for_s: float) -> bool:
    """Tell whether one fan's current at start is within the specification.

    Parameters
    ----------
    current_a
        Largest current at start, 0 or more [A].
    for_s
        How long it lasts, 0 or more [s].

    Returns
    -------
    bool
        Whether it is steady at most, or 2.2 A at most for 1.0 s at most [yes or no].

    Raises
    ------
    ValueError
        If a value is negative or not finite.

    Notes
    -----
    Input capacitors add a shorter, often higher peak (common practice, no source).

    Source: Intel 4-wire specification rev 1.3, p. 9.

    Examples
    --------
    >>> start_current_allowed(2.2, 1.0), start_current_allowed(2.2, 1.1)
    (True, False)
    """
    require.not_negative(current_a=current_a, for_s=for_s)
    return current_a <= STEADY_A or (current_a <= START_A and for_s <= START_S)


def signal_allowed(frequency_hz: float) -> bool:
    """Tell whether the control signal's frequency is within the specification.

    Parameters
    ----------
    frequency_hz
        Frequency, above 0 [Hz].

    Returns
    -------
    bool
        Whether it is within 21 to 28 kHz [yes or no].

    Raises
    ------
    ValueError
        If the frequency is not above 0.

    Notes
    -----
    Some texts say 25 kHz ± 10 %; the specification does not.

    Source: Intel 4-wire specification rev 1.3, p. 9.

    Examples
    --------
    >>> [signal_allowed(hz) for hz in (20_900, 21_000, 28_000, 28_100)]
    [False, True, True, False]
    """
    require.positive(frequency_hz=frequency_hz)
    return SIGNAL_HZ[0] <= frequency_hz <= SIGNAL_HZ[1]


def lowest_speed_allowed(lowest_rpm: float, highest_rpm: float) -> bool:
    """Tell whether a fan's lowest speed is low enough for the specification.

    Parameters
    ----------
    lowest_rpm
        Lowest speed, 0 or more [rpm].
    highest_rpm
        Speed at full duty, above 0 [rpm].

    Returns
    -------
    bool
        Whether the lowest is 30 % of the highest or less [yes or no].

    Raises
    ------
    ValueError
        If a value is out of its range.

    Notes
    -----
    The fan must start and run there.

    Source: Intel 4-wire specification rev 1.3, p. 13.

    Examples
    --------
    >>> lowest_speed_allowed(450, 1500), lowest_speed_allowed(451, 1500)
    (True, False)
    """
    require.not_negative(lowest_rpm=lowest_rpm)
    require.positive(highest_rpm=highest_rpm)
    return lowest_rpm * 10 <= highest_rpm * 3


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


def speeds_allowed(
    kind: BelowMinimum, duty_pct: float | None, *, highest_rpm: float, lowest_rpm: float, lowest_duty_pct: float
) -> tuple[float, float]:
    """Return the speeds that the specification allows at a duty.

    Parameters
    ----------
    kind
        What the fan does below its lowest duty [type].
    duty_pct
        Duty, 0 to 100; None where there is no control signal [%].
    highest_rpm
        Speed at full duty, above 0 [rpm].
    lowest_rpm
        Lowest speed, 0 to highest_rpm [rpm].
    lowest_duty_pct
        Duty of the lowest speed, 0 to 100 [%].

    Returns
    -------
    tuple
        Lowest and highest speed allowed [rpm].

    Raises
    ------
    ValueError
        If a value is out of its range.

    Notes
    -----
    Without a signal a fan runs at its highest speed. 0 % does not mean stopped (type A) and does not mean running
    (types B and C).

    Source: Intel 4-wire specification rev 1.3, pp. 13-16.

    Examples
    --------
    >>> fan = {"highest_rpm": 1500.0, "lowest_rpm": 400.0, "lowest_duty_pct": 25.0}
    >>> speeds_allowed(BelowMinimum.STAYS, 0, **fan), speeds_allowed(BelowMinimum.STOPS, 0, **fan)
    ((400.0, 400.0), (0.0, 0.0))
    >>> speeds_allowed(BelowMinimum.STAYS, None, **fan), speeds_allowed(BelowMinimum.STAYS, 50, **fan)
    ((1500.0, 1500.0), (600.0, 900.0))
    """
    require.positive(highest_rpm=highest_rpm)
    within(0.0, highest_rpm, lowest_rpm=lowest_rpm)
    within(0.0, 100.0, lowest_duty_pct=lowest_duty_pct, duty_pct=duty_pct or 0.0)
    if duty_pct is None:
        return highest_rpm, highest_rpm
    if duty_pct >= lowest_duty_pct and duty_pct > 0:
        low, high = duty_pct - CURVE_POINTS, min(duty_pct + CURVE_POINTS, 100.0)
        return max(low / 100 * highest_rpm, lowest_rpm), high / 100 * highest_rpm
    if kind is BelowMinimum.STAYS:
        return lowest_rpm, lowest_rpm
    if duty_pct == 0:
        return 0.0, 0.0
    return (lowest_rpm if kind is BelowMinimum.OFF_AT_ZERO else 0.0), lowest_rpm


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
