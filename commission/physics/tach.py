"""Fan speed from the pulses of a tach, from a chip's counter, and what two tachs on one line show."""

from commission.physics import require
from commission.physics.within import within

USUAL_PULSES = 2
"""Tach pulses a revolution [1]. Source: Intel, 4-Wire PWM Controlled Fans Specification, rev 1.3, p. 9."""
PERIOD_CLOCK = 1_350_000
"""Speed times count of a period counter [rpm]. Source: Linux drivers/hwmon/nct6775-core.c, commit 0c23e18c."""
MOST_RPM = 60_000.0
"""Speed above which a reading is a slip [rpm]; our choice: several times the fastest fan or pump that fits a case."""


def speed_from_tach(frequency_hz: float, pulses_per_turn: int = USUAL_PULSES) -> float:
    """Return the speed that a tach signal says.

    Parameters
    ----------
    frequency_hz
        Pulses a second, 0 or more [Hz].
    pulses_per_turn
        Pulses a revolution, 1 to 8 [1].

    Returns
    -------
    float
        Speed [rpm].

    Raises
    ------
    ValueError
        If a value is out of its range.

    Notes
    -----
    n = 60·f/pulses. Steady speed; a tach that is chopped with its supply gives nonsense.

    Source: definition; two pulses a turn by Intel's specification, rev 1.3, p. 9.

    Examples
    --------
    Hand calculation: 60·50/2.

    >>> speed_from_tach(50.0)
    1500.0
    """
    require.not_negative(frequency_hz=frequency_hz)
    within(1, 8, pulses_per_turn=pulses_per_turn)
    return 60.0 * frequency_hz / pulses_per_turn


def speed_with_right_pulses(shown_rpm: float, assumed_pulses: int, actual_pulses: int) -> float:
    """Return the true speed where the reader assumed another number of pulses.

    Parameters
    ----------
    shown_rpm
        Speed as shown, 0 or more [rpm].
    assumed_pulses
        Pulses a revolution that the reader assumes, 1 to 8 [1].
    actual_pulses
        Pulses a revolution that the fan or pump gives, 1 to 8 [1].

    Returns
    -------
    float
        True speed [rpm].

    Raises
    ------
    ValueError
        If a value is out of its range.

    Notes
    -----
    shown = true·actual/assumed. Pumps with one pulse a turn are shown at half their speed (common practice, no
    source).

    Source: definition of pulses a revolution.

    Examples
    --------
    Hand calculation: a pump of one pulse, read as two.

    >>> speed_with_right_pulses(2400, 2, 1)
    4800.0
    """
    require.not_negative(shown_rpm=shown_rpm)
    within(1, 8, assumed_pulses=assumed_pulses, actual_pulses=actual_pulses)
    return shown_rpm * assumed_pulses / actual_pulses


def counting_step(pulses_per_turn: int = USUAL_PULSES, gate_s: float = 1.0) -> float:
    """Return the smallest difference that counting pulses over a time can show.

    Parameters
    ----------
    pulses_per_turn
        Pulses a revolution, 1 to 8 [1].
    gate_s
        Counting time, above 0 [s].

    Returns
    -------
    float
        One step of the reading [rpm].

    Raises
    ------
    ValueError
        If a value is out of its range.

    Notes
    -----
    q = 60/(pulses·T).

    Source: Linux drivers/hwmon/pwm-fan.c, commit 01695410 (counts over one second).

    Examples
    --------
    Hand calculation: 60/(2·1).

    >>> counting_step()
    30.0
    """
    within(1, 8, pulses_per_turn=pulses_per_turn)
    require.positive(gate_s=gate_s)
    return 60.0 / (pulses_per_turn * gate_s)


def speed_from_count(pulses: int, gate_s: float = 1.0, pulses_per_turn: int = USUAL_PULSES) -> float:
    """Return the speed from pulses counted over a time.

    Parameters
    ----------
    pulses
        Pulses counted, 0 or more [1].
    gate_s
        Counting time, above 0 [s].
    pulses_per_turn
        Pulses a revolution, 1 to 8 [1].

    Returns
    -------
    float
        Speed, a whole multiple of `counting_step` [rpm].

    Raises
    ------
    ValueError
        If a value is out of its range.

    Notes
    -----
    0 means less than one pulse in the time, not that nothing turns.

    Source: Linux drivers/hwmon/pwm-fan.c, commit 01695410.

    Examples
    --------
    Hand calculation: 51 pulses in a second, two a turn.

    >>> speed_from_count(51)
    1530.0
    """
    require.not_negative(pulses=pulses)
    return pulses * counting_step(pulses_per_turn, gate_s)


def speed_from_period(count: int) -> int:
    """Return the speed that a chip with a period counter shows.

    Parameters
    ----------
    count
        Clock ticks of one period, 1 to 65535 [1].

    Returns
    -------
    int
        Speed, cut to whole turns as the driver does [rpm].

    Raises
    ------
    ValueError
        If the count is out of its range.

    Notes
    -----
    The largest count that is not overflow gives the slowest speed that such a chip can tell from a standstill: 20 rpm
    with 16 bits, 164 rpm with 13 bits.

    Source: Linux drivers/hwmon/nct6775-core.c, commit 0c23e18c.

    Examples
    --------
    Worked from that driver: 1350000/900.

    >>> speed_from_period(900)
    1500
    """
    within(1, 65_535, count=count)
    return PERIOD_CLOCK // int(count)


def period_step(speed_rpm: float) -> float:
    """Return how far two neighbouring readings of a period counter lie apart.

    Parameters
    ----------
    speed_rpm
        Speed, 0 to 60000 [rpm].

    Returns
    -------
    float
        One step of the reading at that speed [rpm].

    Raises
    ------
    ValueError
        If the speed is out of its range.

    Notes
    -----
    q ≈ n²/1350000, for counts well above 1.

    Source: derivative of the formula in Linux drivers/hwmon/nct6775-core.c, commit 0c23e18c.

    Examples
    --------
    Hand calculation: 1500²/1350000.

    >>> round(period_step(1500), 2)
    1.67
    """
    within(0.0, MOST_RPM, speed_rpm=speed_rpm)
    return speed_rpm * speed_rpm / PERIOD_CLOCK


def mean_of_two_tachs(first_rpm: float, second_rpm: float, low_share: float) -> float:
    """Return the mean speed that two open-collector tachs on one line show.

    Parameters
    ----------
    first_rpm
        Speed of one fan, above 0 [rpm].
    second_rpm
        Speed of the other, above 0 and not the same [rpm].
    low_share
        Share of a pulse for which each output pulls the line low, 0 to 1 [1].

    Returns
    -------
    float
        Mean of what is shown [rpm].

    Raises
    ------
    ValueError
        If a value is out of its range or the speeds are equal.

    Notes
    -----
    (n1 + n2)·(1 − low). With half pulses the display shows about the mean of both, which looks right; with narrow
    pulses about the sum. A clean reading never proves a single tach.

    Source: wired-AND model of two independent pulse trains; checked by simulation in the tests.

    Examples
    --------
    Hand calculation: (1500 + 1450)·(1 − 0.1).

    >>> mean_of_two_tachs(1500, 1450, 0.1)
    2655.0
    """
    require.positive(first_rpm=first_rpm, second_rpm=second_rpm)
    within(0.0, 1.0, low_share=low_share)
    if first_rpm == second_rpm:
        raise ValueError("the speeds must differ: equal pulse trains stay as they fell together")
    return (first_rpm + second_rpm) * (1.0 - low_share)
