"""The air still to come against geometric series worked by hand, and the three states."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.stages.bleed.judge.tail import STALLED, remaining_air, tail_sum
from commission.stages.bleed.model import AirTail, TailState

FOUR = [120.0, 42.0, 15.0, 5.2]


def bounds(tail: AirTail) -> tuple[float, float, float]:
    assert tail.low_m3 is not None
    assert tail.best_m3 is not None
    assert tail.high_m3 is not None
    return tail.low_m3, tail.best_m3, tail.high_m3


def test_the_last_two_readings_foresee_the_rest() -> None:
    # Source: geometric series by hand, r = 5.2/15; limit of all by Aitken 184.959184. Status: computed.
    assert tail_sum(5.2, 15.0) == pytest.approx(2.759184, rel=1e-6)
    a, b, c = 120 + 42.0, 120 + 42 + 15.0, 120 + 42 + 15 + 5.2
    assert c + tail_sum(5.2, 15.0) == pytest.approx(c - (c - b) ** 2 / (c - 2 * b + a), rel=1e-9)
    assert c + tail_sum(5.2, 15.0) == pytest.approx(184.959184, rel=1e-8)


def test_a_fit_through_all_readings_foresees_nearly_the_same() -> None:
    # Source: least squares through the logarithms (scipy linregress), slope −1.0446119 se 0.0038441, t 4.302653: ratio
    # 0.346057 to 0.357696, rest 2.822566 (2.7518 to 2.8959). Status: computed.
    tail = remaining_air(FOUR, 0.0)
    low, best, high = bounds(tail)
    assert tail.ratio == pytest.approx(0.3518283, abs=1e-7)
    assert best == pytest.approx(2.822566, rel=1e-6)
    assert (low, high) == pytest.approx((2.7518, 2.8959), abs=1e-4)
    assert low < tail_sum(5.2, 15.0) < high


def test_scipy_draws_the_same_line() -> None:
    from scipy.stats import linregress, t

    # Source: scipy 1.17.1. Status: reference library.
    line = linregress(range(4), [math.log(value) for value in FOUR])
    width = float(t.ppf(0.975, 2)) * float(line.stderr)
    ratios = [math.exp(float(line.slope) + way * width) for way in (-1, 0, 1)]
    expected = [5.2 * r / (1 - r) for r in ratios]
    assert bounds(remaining_air(FOUR, 0.0)) == pytest.approx(expected, rel=1e-9)


def test_the_resolution_of_the_reading_widens_it_far_more() -> None:
    # Source: last reading off by ±2 mL, by hand: 0.867797 to 6.646154. Status: computed. With the one before off as
    # well, 3.2 after 17 and 7.2 after 13: 0.742029 to 8.937931 (by hand).
    assert tail_sum(3.2, 15.0) == pytest.approx(0.867797, abs=1e-6)
    assert tail_sum(7.2, 15.0) == pytest.approx(6.646154, abs=1e-6)
    low, best, high = bounds(remaining_air(FOUR, 2.0))
    assert low == pytest.approx(0.742029, abs=1e-6)
    assert high == pytest.approx(8.937931, abs=1e-6)
    assert best == pytest.approx(2.822566, rel=1e-6)


@pytest.mark.parametrize(
    "stuck",
    [[30.0, 12.0, 11.0, 12.5], [5.0, 5.0, 5.0], [3.0, 6.0, 12.0], [120.0, 42.0, 15.0, 14.0], [9.0, 4.0, 0.1, 3.0]],
)
def test_a_series_that_does_not_shrink_has_no_bound(stuck: list[float]) -> None:
    # Source: ratios by hand, .400/.917/1.136 for the first.
    tail = remaining_air(stuck, 0.5)
    assert tail.state is TailState.NOT_CONVERGING
    assert tail.high_m3 is None


@pytest.mark.parametrize("few", [[], [5.2], [15.0, 5.2], [0.0, 0.0]])
def test_one_or_two_readings_are_too_few(few: list[float]) -> None:
    assert remaining_air(few, 2.0).state is TailState.TOO_FEW


def test_three_scattered_readings_are_too_few_to_bound() -> None:
    # Source: t of one degree of freedom is 12.7: the ratio reaches beyond 0.9.
    assert remaining_air([120.0, 42.0, 20.0], 0.0).state is TailState.TOO_FEW
    assert remaining_air([120.0, 42.0, 15.0], 0.0).state is TailState.CONVERGING


def test_a_pocket_that_let_go_early_does_not_spoil_what_came_after() -> None:
    late = remaining_air([100.0, 95.0, 40.0, 15.0, 5.2], 0.5)
    assert late.state is TailState.CONVERGING
    assert late.used == 4
    again = remaining_air([30.0, 12.0, 11.0, 12.5, 4.0, 1.4], 0.2)
    assert again.state is TailState.CONVERGING
    assert again.used == 3


def test_nothing_seen_is_not_nothing() -> None:
    # Source: what hides below ±2 mL goes on at the largest ratio: at least the resolution itself.
    tail = remaining_air([*FOUR, 1.5], 2.0)
    low, best, high = bounds(tail)
    assert tail.state is TailState.CONVERGING
    assert low == 0
    assert best < 2.0 < high
    dry = remaining_air([0.0, 0.0, 0.0], 2.0)
    assert bounds(dry) == pytest.approx((0.0, 0.0, 2.0 / (1 - STALLED)))
    full_step = remaining_air([2.0, 2.0, 2.0], 2.0)  # each may have been 4 mL, at 0.9 of the one before
    assert bounds(full_step)[2] == pytest.approx(4.0 * STALLED / (1 - STALLED))


def test_a_last_pair_too_close_to_tell_leaves_it_to_the_whole_series() -> None:
    # 5.2 and 2.5 with ±2 mL may be 3.2 and 4.5: only the series bounds the rest.
    low, best, high = bounds(remaining_air([*FOUR, 2.5], 2.0))
    assert low < best < high < 10.0


@settings(deadline=None)
@given(st.floats(1.0, 300.0), st.floats(0.05, 0.8), st.integers(3, 8))
def test_an_even_series_is_foreseen_exactly(first: float, ratio: float, cycles: int) -> None:
    # Source: sum of a geometric series.
    series = [first * ratio**k for k in range(cycles)]
    tail = remaining_air(series, 0.0)
    if tail.state is TailState.CONVERGING:
        low, best, high = bounds(tail)
        assert best == pytest.approx(series[-1] * ratio / (1 - ratio), rel=1e-6)
        assert low <= best * (1 + 1e-9)
        assert high >= best * (1 - 1e-9)


@settings(deadline=None, max_examples=200)
@given(st.floats(20.0, 300.0), st.floats(0.1, 0.85), st.integers(3, 7), st.randoms(), st.floats(0.01, 3.0))
def test_the_truth_lies_within_the_bounds_when_readings_are_off_by_their_resolution(
    first: float, ratio: float, cycles: int, chance: object, resolution: float
) -> None:
    # Source: simulation with a known series; each reading is off by at most its resolution.
    draw = chance.uniform  # type: ignore[attr-defined]
    truth = [first * ratio**k for k in range(cycles)]
    read = [value + draw(-resolution, resolution) for value in truth]
    tail = remaining_air(read, resolution)
    if tail.state is TailState.CONVERGING:
        low, _best, high = bounds(tail)
        rest = truth[-1] * ratio / (1 - ratio)
        assert low <= rest <= high + 1e-9


@settings(deadline=None)
@given(st.lists(st.floats(-5.0, 300.0), max_size=8), st.floats(0.0, 10.0), st.floats(1e-9, 1e3))
def test_any_readings_are_answered_and_the_unit_does_not_matter(
    gone: list[float], resolution: float, unit: float
) -> None:
    tail = remaining_air(gone, resolution)
    other = remaining_air([value * unit for value in gone], resolution * unit)
    if tail.state is TailState.CONVERGING:
        low, best, high = bounds(tail)
        assert 0 <= low <= best * (1 + 1e-9)
        assert best <= high * (1 + 1e-9)
        assert math.isfinite(high)
        if other.state is TailState.CONVERGING:
            assert bounds(other) == pytest.approx((low * unit, best * unit, high * unit), rel=1e-6, abs=1e-12)
    else:
        assert (tail.low_m3, tail.best_m3, tail.high_m3, tail.ratio) == (None, None, None, None)


def test_a_reading_next_to_nothing_does_not_break_the_sum() -> None:
    assert remaining_air([2.0, 1.0, 3e-182], 0.0).state is not TailState.CONVERGING


@pytest.mark.parametrize(("gone", "resolution"), [([math.nan, 1, 1], 0.0), ([3, 2, 1], -1.0), ([3, 2, 1], math.inf)])
def test_what_is_no_reading_is_refused(gone: list[float], resolution: float) -> None:
    with pytest.raises(ValueError, match="must be finite"):
        remaining_air(gone, resolution)


@pytest.mark.parametrize(("last", "previous"), [(5.0, 5.0), (6.0, 5.0), (-1.0, 5.0)])
def test_readings_that_do_not_shrink_have_no_sum(last: float, previous: float) -> None:
    with pytest.raises(ValueError, match="must shrink"):
        tail_sum(last, previous)
