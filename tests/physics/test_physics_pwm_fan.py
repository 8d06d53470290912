"""The 4-wire fan specification at, just inside and just outside each of its figures."""

from collections.abc import Callable

import pytest

from commission.physics.pwm_fan import (
    BelowMinimum,
    curve_deviation,
    fans_on_one_signal,
    lowest_speed_allowed,
    signal_allowed,
    speeds_allowed,
    start_current_allowed,
    steady_current_allowed,
    supply_allowed,
)

# Source of this file: Intel, 4-Wire PWM Controlled Fans Specification, rev 1.3, September 2005; pages as named.
FAN = {"highest_rpm": 1500.0, "lowest_rpm": 420.0, "lowest_duty_pct": 25.0}


def test_supply_is_twelve_volts_five_per_cent() -> None:
    # p. 9. Status: read, limits computed.
    assert [supply_allowed(v) for v in (11.39, 11.40, 12.60, 12.61)] == [False, True, True, False]


def test_a_single_fan_takes_one_and_a_half_amperes() -> None:
    # p. 9. Status: read.
    assert [steady_current_allowed(a) for a in (1.5, 1.51)] == [True, False]


def test_a_single_fan_starts_with_2_2_amperes_for_a_second() -> None:
    # p. 9. Status: read.
    cases = [(2.2, 1.0), (2.2, 1.1), (2.21, 1.0), (1.5, 60.0)]
    assert [start_current_allowed(*case) for case in cases] == [True, False, False, True]


def test_the_signal_is_between_21_and_28_kilohertz() -> None:
    # p. 9. Status: read. A page on the specification says 25 kHz ± 10 %: 22 is the nearest that it would refuse.
    hertz = (20_900, 21_000, 22_000, 25_000, 28_000, 28_100)
    assert [signal_allowed(hz) for hz in hertz] == [False, True, True, True, True, False]


def test_the_lowest_speed_is_three_tenths_of_the_highest() -> None:
    # p. 13. Status: read, limit computed.
    assert lowest_speed_allowed(450, 1500)
    assert not lowest_speed_allowed(451, 1500)


def test_a_usual_fan_keeps_within_ten_points_of_its_duty() -> None:
    # p. 14 (points: our reading); 2000 rpm, 450 at 20 %, 1100 at 50 % are common practice. Status: computed.
    assert curve_deviation([20, 50, 100], [450, 1100, 2000], 2000) == pytest.approx(5.0)


def test_a_curve_of_nine_levels_is_seven_and_a_half_points_off() -> None:
    # Source: the series of nine levels, computed elsewhere (numpy): 7.50.
    speeds = [412, 545, 690, 838, 981, 1120, 1256, 1380, 1498]
    assert curve_deviation(list(range(20, 101, 10)), speeds, 1498) == pytest.approx(7.50, abs=0.005)


def test_without_a_signal_a_fan_runs_at_its_highest_speed() -> None:
    # p. 14. Status: read.
    for kind in BelowMinimum:
        assert speeds_allowed(kind, None, **FAN) == (1500.0, 1500.0)


def test_nought_per_cent_is_neither_stopped_nor_running_for_all_types() -> None:
    # pp. 15-16. Status: read.
    assert speeds_allowed(BelowMinimum.STAYS, 0.0, **FAN) == (420.0, 420.0)
    assert speeds_allowed(BelowMinimum.OFF_AT_ZERO, 0.0, **FAN) == (0.0, 0.0)
    assert speeds_allowed(BelowMinimum.STOPS, 0.0, **FAN) == (0.0, 0.0)


def test_between_nought_and_the_minimum_only_type_c_may_stop() -> None:
    # pp. 14-16. Status: read.
    assert speeds_allowed(BelowMinimum.STAYS, 10.0, **FAN) == (420.0, 420.0)
    assert speeds_allowed(BelowMinimum.OFF_AT_ZERO, 10.0, **FAN) == (420.0, 420.0)
    assert speeds_allowed(BelowMinimum.STOPS, 10.0, **FAN) == (0.0, 420.0)


def test_above_the_minimum_ten_points_either_side_are_allowed() -> None:
    # p. 14. Status: read; points are our reading.
    assert speeds_allowed(BelowMinimum.STAYS, 60.0, **FAN) == pytest.approx((750.0, 1050.0))
    assert speeds_allowed(BelowMinimum.STAYS, 95.0, **FAN) == pytest.approx((1275.0, 1500.0))


def test_by_the_worst_case_an_output_drives_one_fan() -> None:
    # pp. 9-10: 5 mA each way, 8 mA recommended. 10 kΩ at 5 V (0.5 mA) is an assumption from memory. Status: computed.
    assert [fans_on_one_signal(a) for a in (0.005, 0.008)] == [1, 1]
    assert [fans_on_one_signal(a, 5 / 10_000) for a in (0.005, 0.008)] == [10, 16]


def test_what_no_fan_can_do_is_refused_by_name() -> None:
    refused: list[tuple[Callable[[], object], str]] = [
        (lambda: supply_allowed(float("nan")), "supply_v"),
        (lambda: steady_current_allowed(-0.1), "current_a"),
        (lambda: start_current_allowed(1.0, -1.0), "for_s"),
        (lambda: signal_allowed(0.0), "frequency_hz"),
        (lambda: lowest_speed_allowed(100, 0), "highest_rpm"),
        (lambda: curve_deviation([], [], 1500), "not empty"),
        (lambda: curve_deviation([50], [700, 800], 1500), "as long"),
        (lambda: curve_deviation([150], [700], 1500), "duty_pct"),
        (lambda: speeds_allowed(BelowMinimum.STAYS, 101.0, **FAN), "duty_pct"),
        (lambda: fans_on_one_signal(0.005, 0.0), "input_a"),
    ]
    for call, name in refused:
        with pytest.raises(ValueError, match=name):
            call()
