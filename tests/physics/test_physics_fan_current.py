"""Fan currents from labels, and the estimates at part speed."""

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.physics.fan_current import (
    current_at_speed_pwm,
    current_at_speed_voltage,
    current_of_power,
    speed_share_at_voltage,
)


def test_ratings_in_watts_are_amperes_times_twelve() -> None:
    # Source: P = U·I; 1, 1.5, 2 and 3 A headers are 12, 18, 24 and 36 W. Status: computed.
    assert [current_of_power(w) for w in (12, 18, 24, 36)] == [1.0, 1.5, 2.0, 3.0]


def test_at_half_speed_a_fan_takes_less_by_either_drive() -> None:
    # Source: fan laws; Ir 0.20 A, I0 0.02 A. Status: computed, an estimate only.
    assert current_at_speed_pwm(0.20, 0.02, 0.5) == pytest.approx(0.0425, abs=1e-4)
    assert current_at_speed_voltage(0.20, 0.5) == pytest.approx(0.050, abs=1e-4)


def test_seven_volts_turn_a_fan_at_fifty_five_per_cent() -> None:
    # Source: a model with 1 V of internal loss, common practice: (7 − 1)/(12 − 1). Status: computed.
    assert speed_share_at_voltage(7.0) == pytest.approx(6 / 11)
    assert round(100 * speed_share_at_voltage(7.0)) == 55


def test_shape_alone_cannot_tell_voltage_drive_from_pwm() -> None:
    # Source: |(12d − 1)/11 − d| = (1 − d)/11 from 45 to 100 %, at most 5.0 points; the specification allows 10.
    # Status: computed.
    deviations = [abs(100 * speed_share_at_voltage(12 * d / 100) - d) for d in range(45, 101)]
    assert max(deviations) == pytest.approx(5.0, abs=1e-9)


@settings(deadline=None)
@given(st.floats(0.01, 2.0), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_an_estimate_never_exceeds_the_current_at_full_speed(rated: float, share: float, ratio: float) -> None:
    assert current_at_speed_pwm(rated, share * rated, ratio) <= rated * (1 + 1e-12)
    assert current_at_speed_voltage(rated, ratio) <= rated
    assert current_at_speed_pwm(rated, share * rated, 1.0) == pytest.approx(rated)


def test_what_is_out_of_range_is_refused_by_name() -> None:
    refused: list[tuple[Callable[[], object], str]] = [
        (lambda: current_of_power(-1.0), "power_w"),
        (lambda: current_at_speed_pwm(0.2, 0.3, 0.5), "electronics_a"),
        (lambda: current_at_speed_pwm(0.2, 0.02, 1.1), "speed_ratio"),
        (lambda: current_at_speed_voltage(0.0, 0.5), "rated_a"),
        (lambda: speed_share_at_voltage(12.5), "supply_v"),
    ]
    for call, name in refused:
        with pytest.raises(ValueError, match=name):
            call()
