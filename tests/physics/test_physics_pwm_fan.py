"""The 4-wire fan specification at, just inside and just outside each of its figures."""

from collections.abc import Callable

import pytest

from commission.physics.pwm_fan import (
    curve_deviation,
    fans_on_one_signal,
)

# Source of this file: Intel, 4-Wire PWM Controlled Fans Specification, rev 1.3, September 2005; pages as named.
FAN = {"highest_rpm": 1500.0, "lowest_rpm": 420.0, "lowest_duty_pct": 25.0}


def test_a_usual_fan_keeps_within_ten_points_of_its_duty() -> None:
    # p. 14 (points: our reading); 2000 rpm, 450 at 20 %, 1100 at 50 % are common practice. Status: computed.
    assert curve_deviation([20, 50, 100], [450, 1100, 2000], 2000) == pytest.approx(5.0)


def test_a_curve_of_nine_levels_is_seven_and_a_half_points_off() -> None:
    # Source: the series of nine levels, computed elsewhere (numpy): 7.50.
    speeds = [412, 545, 690, 838, 981, 1120, 1256, 1380, 1498]
    assert curve_deviation(list(range(20, 101, 10)), speeds, 1498) == pytest.approx(7.50, abs=0.005)


def test_by_the_worst_case_an_output_drives_one_fan() -> None:
    # pp. 9-10: 5 mA each way, 8 mA recommended. 10 kΩ at 5 V (0.5 mA) is an assumption from memory. Status: computed.
    assert [fans_on_one_signal(a) for a in (0.005, 0.008)] == [1, 1]
    assert [fans_on_one_signal(a, 5 / 10_000) for a in (0.005, 0.008)] == [10, 16]


def test_what_no_fan_can_do_is_refused_by_name() -> None:
    refused: list[tuple[Callable[[], object], str]] = [
        (lambda: curve_deviation([], [], 1500), "not empty"),
        (lambda: curve_deviation([50], [700, 800], 1500), "as long"),
        (lambda: curve_deviation([150], [700], 1500), "duty_pct"),
        (lambda: fans_on_one_signal(0.005, 0.0), "input_a"),
    ]
    for call, name in refused:
        with pytest.raises(ValueError, match=name):
            call()
