"""Round numbers for the axes."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission.ui.widgets.curve_ticks import TIME_STEPS_S, multiples, round_step, row_scale, time_ticks, value_ticks

spans = st.floats(1e-9, 1e9)


@given(st.floats(1e-12, 1e12))
def test_a_step_is_1_2_2_5_or_5_times_a_power_of_ten(least: float) -> None:
    step = round_step(least)
    assert step >= least * (1 - 1e-8)
    assert step <= least * 2.0001 * 1.25
    mantissa = step / 10 ** math.floor(math.log10(step) + 1e-9)
    assert any(mantissa == pytest.approx(m) for m in (1.0, 2.0, 2.5, 5.0))


@given(st.floats(-1e6, 1e6), spans, st.integers(1, 12), st.sampled_from([1.0, 100.0, 6894.757293168]))
def test_ticks_lie_inside_in_order_and_are_not_too_many(low: float, span: float, most: int, unit: float) -> None:
    ticks = value_ticks(low, low + span, most, unit)
    assert len(ticks) <= most
    assert ticks == sorted(ticks)
    slack = 1e-6 * (span + abs(low) + unit)
    assert all(low - slack <= tick <= low + span + slack for tick in ticks)


@given(st.floats(-1e6, 1e6), st.floats(1e-3, 1e9), st.integers(2, 30))
def test_a_scale_holds_its_range_and_each_label_stands_in_the_middle_of_a_row(
    low: float, span: float, rows: int
) -> None:
    scale = row_scale(low, low + span, rows)
    assert scale is not None
    row = (scale.high - scale.low) / rows
    slack = 1e-6 * row + 1e-9 * abs(low)
    assert scale.low <= low + slack
    assert low + span <= scale.high + slack
    labels = multiples(scale.low, scale.high, scale.step, 1.0)
    assert 2 <= len(labels) <= 8
    for label in labels:
        assert ((label - scale.low) / row) % 1.0 == pytest.approx(0.5, abs=1e-3)
    assert scale.high - scale.low <= 4 * (span + row), "the room is used"


@given(spans, st.integers(2, 12))
def test_times_stand_on_the_steps_of_a_clock(span: float, most: int) -> None:
    ticks = time_ticks(0.0, span, most)
    assert len(ticks) <= most
    if len(ticks) > 1:
        step = ticks[1] - ticks[0]
        assert step in TIME_STEPS_S or step % 86_400.0 == pytest.approx(0.0)


@pytest.mark.parametrize(("low", "high"), [(0.0, 0.0), (1.0, 0.0), (0.0, math.inf), (math.nan, 1.0)])
def test_no_range_has_no_ticks(low: float, high: float) -> None:
    assert value_ticks(low, high, 5) == []
    assert time_ticks(low, high, 5) == []


def test_nought_is_written_without_a_sign() -> None:
    assert all(math.copysign(1.0, tick) == 1.0 for tick in value_ticks(-1.0, 1.0, 5) if tick == 0.0)
