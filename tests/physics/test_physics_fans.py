"""Fan speed against the specification, the kernel's drivers and the fan laws."""

import random
from collections.abc import Callable
from statistics import mean

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.physics.fans import duty_byte, duty_of_byte, flow_ratio, power_ratio, pressure_ratio
from commission.physics.tach import (
    counting_step,
    mean_of_two_tachs,
    period_step,
    speed_from_count,
    speed_from_period,
    speed_from_tach,
    speed_with_right_pulses,
)


def test_fifty_pulses_a_second_are_1500_rpm_at_two_pulses() -> None:
    # Source: n = 60·f/pulses; two pulses by Intel's 4-wire specification rev 1.3, p. 9. Status: computed.
    assert speed_from_tach(50.0) == 1500.0


def test_a_pump_of_one_pulse_is_shown_at_half_its_speed() -> None:
    # Source: definition; the effect is common practice, no source. Status: computed.
    assert speed_with_right_pulses(2400, 2, 1) == 4800.0


def test_counting_for_a_second_shows_steps_of_thirty() -> None:
    # Source: Linux drivers/hwmon/pwm-fan.c, commit 01695410. Status: formula read, figures computed.
    assert counting_step() == 30.0
    assert (speed_from_count(50), speed_from_count(51)) == (1500.0, 1530.0)


@pytest.mark.parametrize(("count", "rpm"), [(900, 1500), (65534, 20), (8190, 164)])
def test_a_period_counter_has_a_slowest_speed(count: int, rpm: int) -> None:
    # Source: Linux drivers/hwmon/nct6775-core.c, commit 0c23e18c: 1350000/count, 16-bit and 13-bit counters.
    # Status: formula read, figures computed.
    assert speed_from_period(count) == rpm


@pytest.mark.parametrize(("rpm", "step"), [(500, 0.19), (1000, 0.74), (1500, 1.67), (2000, 2.96), (4800, 17.1)])
def test_the_step_of_a_period_counter_grows_with_the_square_of_speed(rpm: float, step: float) -> None:
    # Source: the same driver; derivative worked by hand. Status: computed.
    assert period_step(rpm) == pytest.approx(step, abs=0.04)


def shown_by_two(first: float, second: float, low_share: float, seed: int) -> float:
    """Return the mean speed that counting low-going edges of two ANDed tachs shows over a minute at two pulses a turn.

    A stdlib simulation: each output pulls low for a share of its period; the line is low while either is.
    """
    edges = []
    rng = random.Random(seed)
    for speed in (first, second):
        period = 60 / (2 * speed)
        phase = rng.random() * period
        t = phase - period
        while t < 60:
            edges += [(t, +1), (t + low_share * period, -1)]
            t += period
    low = count = 0
    for at, change in sorted(edges):
        count += low == 0 and change > 0 and 0 <= at < 60
        low += change
    return count * 60 / (2 * 60)


@pytest.mark.parametrize(("first", "second", "low", "rpm"), [(1500, 1450, 0.1, 2655), (1500, 900, 0.5, 1200)])
def test_two_tachs_on_one_line_show_their_sum_less_what_coincides(
    first: float, second: float, low: float, rpm: float
) -> None:
    # Source: wired-AND model; oracle is the simulation above. Status: computed, 3 %.
    assert mean_of_two_tachs(first, second, low) == pytest.approx(rpm)
    assert mean(shown_by_two(first, second, low, seed) for seed in range(5)) == pytest.approx(rpm, rel=0.03)


def test_the_fan_laws_at_seven_tenths() -> None:
    # Source: fan laws, two secondary engineering texts. Status: computed.
    assert (flow_ratio(0.7), pressure_ratio(0.7), power_ratio(0.7)) == pytest.approx((0.7, 0.49, 0.343), abs=0.005)


@settings(deadline=None)
@given(st.floats(0.1, 3.0), st.floats(0.1, 3.0))
def test_the_fan_laws_go_one_after_the_other(first: float, second: float) -> None:
    for law in (flow_ratio, pressure_ratio, power_ratio):
        assert law(first) * law(second) == pytest.approx(law(first * second), rel=1e-12)


def test_halves_of_a_duty_byte_go_up() -> None:
    # Source: 255 = 100 % by the hwmon ABI; Python's own rounding gives 76, 128, 178. Status: computed, our choice.
    assert [duty_byte(duty) for duty in (30, 50, 70)] == [77, 128, 179]
    assert (duty_byte(0), duty_byte(100)) == (0, 255)


def test_every_duty_byte_comes_back() -> None:
    assert [duty_byte(duty_of_byte(byte)) for byte in range(256)] == list(range(256))


def test_what_no_fan_can_do_is_refused_by_name() -> None:
    refused: list[tuple[Callable[[], object], str]] = [
        (lambda: speed_from_tach(-1.0), "frequency_hz"),
        (lambda: speed_from_tach(50.0, 0), "pulses_per_turn"),
        (lambda: speed_with_right_pulses(1500, 9, 2), "assumed_pulses"),
        (lambda: speed_from_period(0), "count"),
        (lambda: speed_from_period(65_536), "count"),
        (lambda: period_step(60_001), "speed_rpm"),
        (lambda: duty_byte(100.5), "duty_pct"),
        (lambda: duty_byte(float("nan")), "duty_pct"),
        (lambda: duty_of_byte(256), "byte"),
        (lambda: mean_of_two_tachs(1500, 1500, 0.1), "differ"),
        (lambda: flow_ratio(-0.1), "speed_ratio"),
    ]
    for call, name in refused:
        with pytest.raises(ValueError, match=name):
            call()
