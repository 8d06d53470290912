"""Readings that allow no verdict are refused, and readings that do are not."""

import itertools
import math
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.stages.pressure_hold.judge.verdict import evaluate_pressure_hold
from commission.stages.pressure_hold.model import HoldSeries
from tests.stages.pressure_hold.hold_makers import EXACT, NAN, SETUP, made, series


def refused(read: HoldSeries, setup: object = SETUP) -> str:
    """Return the code for which readings are refused."""
    verdict = evaluate_pressure_hold(read, setup)  # type: ignore[arg-type]
    assert verdict.outcome is Outcome.INVALID, verdict.reasons
    return verdict.reasons[0].code


@pytest.mark.parametrize("count", [0, 1])
def test_fewer_than_two_readings_prove_nothing(count: int) -> None:
    assert refused(series([0.0] * count, [50000.0] * count)) == "too_few_readings"


def test_a_hold_that_only_began_is_not_invalid_but_open() -> None:
    verdict = evaluate_pressure_hold(series([0.0], [50000.0]), SETUP, running=True)
    assert verdict.outcome is Outcome.INCONCLUSIVE
    assert verdict.leak_rate is None


@pytest.mark.parametrize("bad", [NAN, math.inf, -math.inf])
@pytest.mark.parametrize("column", ["elapsed_s", "pressure_pa"])
def test_a_value_that_is_no_number_is_refused(bad: float, column: str) -> None:
    read = series([0, 60, 120], [50000.0, 50000.0, 50000.0])
    values = [0.0 if column == "elapsed_s" else 50000.0, bad, 120.0 if column == "elapsed_s" else 50000.0]
    assert refused(replace(read, **{column: values})) == "value_not_finite"


def test_an_impossible_temperature_is_refused() -> None:
    assert refused(series([0, 60], [50000.0] * 2, [293.0, -5.0])) == "value_not_finite"


@pytest.mark.parametrize("times", [[0, 60, 60], [0, 120, 60]])
def test_a_clock_that_stands_still_or_runs_backwards_is_refused(times: list[float]) -> None:
    assert refused(series(times, [50000.0] * 3)) == "clock_stepped"


def test_columns_of_different_lengths_are_refused() -> None:
    read = HoldSeries(elapsed_s=[0, 60], pressure_pa=[50000.0], air_k=[NAN, NAN], barometer_pa=[NAN, NAN])
    assert refused(read) == "columns_differ"


def test_a_negative_absolute_pressure_is_refused() -> None:
    assert refused(series([0, 60], [1000.0, -5.0]), replace(SETUP, absolute=True)) == "pressure_impossible"


def test_a_start_pressure_below_20_mbar_is_refused() -> None:
    assert refused(made(0.0, start_pa=1500.0)) == "start_pressure_too_small"


def test_nobody_is_sent_to_more_pressure_for_a_coarse_gauge() -> None:
    # its steps are in the bounds already: 15 steps of 10 mbar make them wide, not the hold invalid
    setup = replace(SETUP, gauge_step_pa=1000.0)
    verdict = evaluate_pressure_hold(made(0.0, start_pa=15000.0, setup=setup), setup)
    assert verdict.outcome is not Outcome.INVALID
    assert not any("pump up" in reason.template for reason in verdict.reasons)


def test_a_dense_series_with_a_long_gap_was_interrupted() -> None:
    read = made(0.0, hold_s=7200, every_s=60)
    keep = [i for i, t in enumerate(read.elapsed_s) if not 1800 < t < 5400]
    cut = series(
        *([column[i] for i in keep] for column in (read.elapsed_s, read.pressure_pa, read.air_k, read.barometer_pa))
    )
    assert refused(cut) == "interrupted"


def test_a_short_gap_is_no_interruption() -> None:
    read = made(0.0, hold_s=7200, every_s=60)
    keep = [i for i, t in enumerate(read.elapsed_s) if not 1800 < t < 2400]
    cut = series(
        *([column[i] for i in keep] for column in (read.elapsed_s, read.pressure_pa, read.air_k, read.barometer_pa))
    )
    assert evaluate_pressure_hold(cut, SETUP).outcome is Outcome.PASS


@pytest.mark.parametrize("every_s", [10.0, 600.0, 3600.0])
def test_a_compensated_pressure_that_rose_is_never_a_pass(every_s: float) -> None:
    rising = made(0.0, every_s=every_s, extra_pa=lambda t: 1500.0 * t / 3600)
    assert refused(rising) in {"pressure_rose", "pressure_stepped_up"}


def test_a_rise_that_may_just_be_chance_is_inconclusive() -> None:
    def read(rise_pa: float) -> HoldSeries:
        return series([0, 3600], [50000.0, 50000.0 + rise_pa], [293.15] * 2, [101325.0] * 2)

    still = evaluate_pressure_hold(read(0.0), EXACT)
    assert still.leak_rate is not None
    one_sigma = still.leak_rate.upper95 / 1.644854 * 3600 / EXACT.volume_m3
    # normal quantiles: 99 % 2.326, 99.9 % 3.090
    doubtful = evaluate_pressure_hold(read(2.7 * one_sigma), EXACT)
    assert doubtful.outcome is Outcome.INCONCLUSIVE
    assert doubtful.reasons[0].code == "pressure_may_have_risen"
    assert refused(read(3.3 * one_sigma), EXACT) == "pressure_rose"


def _cycle(t: float) -> float:
    return 294.15 + 0.8 * math.sin(t / 500)


def _cooling(t: float) -> float:
    return 295.15 - 2.0 * t / 3600


def _warming(t: float) -> float:
    return 294.15 + 1.5 * t / 3600


@pytest.mark.parametrize("air", [_cycle, _cooling, _warming])
def test_a_gauge_that_a_source_holds_up_is_found_by_what_the_room_does(air: Callable[[float], float]) -> None:
    shut_in = made(0.0, air=air, noise_pa=0.0)
    open_source = replace(shut_in, pressure_pa=[50000.0] * len(shut_in.pressure_pa))
    assert refused(open_source) in {"source_not_isolated", "pressure_rose"}


@pytest.mark.parametrize("air", [_cycle, _cooling, _warming])
@pytest.mark.parametrize("rate", [0.0, 4e-4])
def test_a_shut_in_loop_in_the_same_room_is_not_called_open(air: Callable[[float], float], rate: float) -> None:
    assert evaluate_pressure_hold(made(rate, air=air), SETUP).outcome is Outcome.PASS


@pytest.mark.parametrize("rate", [1e-3, 3e-3])
def test_a_loop_that_empties_over_a_day_was_not_held_up(rate: float) -> None:
    read = made(rate, hold_s=86400, every_s=60, air=lambda t: 294.15 + 0.5 * math.sin(t / 13000))
    assert evaluate_pressure_hold(read, SETUP).outcome is not Outcome.INVALID


@pytest.mark.parametrize("step_pa", [10.0, 100.0])
def test_pumping_again_in_the_middle_is_refused(step_pa: float) -> None:
    setup = replace(SETUP, gauge_step_pa=step_pa)
    pumped = made(1e-3, setup=setup, extra_pa=lambda t: 2000.0 if t > 2000 else 0.0)
    assert refused(pumped, setup) == "pressure_stepped_up"


def test_pumping_again_is_seen_with_a_handful_of_readings_too() -> None:
    assert refused(made(1e-3, every_s=450, extra_pa=lambda t: 4000.0 if t > 2000 else 0.0)) == "pressure_stepped_up"


COARSE = replace(SETUP, gauge_step_pa=100.0, barometer_step_pa=None)


def unread(read: HoldSeries) -> HoldSeries:
    """Return a hold in which nobody read the barometer."""
    return replace(read, barometer_pa=[NAN] * len(read.elapsed_s))


@pytest.mark.parametrize(("rate", "strokes"), [(1.2e-3, (1800,)), (2e-3, (1200, 2400))])
def test_a_leak_beyond_the_limit_that_is_pumped_up_between_two_readings_is_refused(
    rate: float, strokes: tuple[int, ...]
) -> None:
    """By hand: a leak of 1.2 times the limit takes 3 mbar from 1.2 L in 5 min, one of twice the limit 5 mbar (Q =
    V·drop/t); the gauge shows 20 or 18 mbar more instead. The barometer moves 3.6 hPa in 3 h where weather reports call
    it quick, 0.1 mbar in 5 min."""
    read = made(
        rate,
        every_s=300,
        setup=COARSE,
        noise_pa=0.0,
        extra_pa=lambda t: 2300.0 * sum(t >= stroke for stroke in strokes),
    )
    assert refused(unread(read), COARSE) in {"pressure_stepped_up", "pressure_fed"}


@pytest.mark.parametrize(("every_s", "hold_s"), [(300.0, 3600.0), (1800.0, 3600.0), (3600.0, 28800.0)])
def test_a_barometer_that_falls_quickly_and_is_not_read_is_not_called_pumping(every_s: float, hold_s: float) -> None:
    """360 Pa in 3 h is the tendency that weather reports call quick."""
    read = made(0.0, hold_s=hold_s, every_s=every_s, setup=COARSE, weather_pa=lambda t: 101000.0 - 360.0 * t / 10800)
    assert evaluate_pressure_hold(unread(read), COARSE).outcome is Outcome.PASS


@pytest.mark.parametrize(("every_s", "every"), [(60.0, 2), (60.0, 3), (60.0, 6), (60.0, 15), (10.0, 6), (10.0, 15)])
def test_a_leak_that_is_pumped_up_again_and_again_is_refused(every_s: float, every: int) -> None:
    # what leaked since the last stroke comes back with the next: 4 times the limit, and the mean stands still; strokes
    # that a dense log cannot tell from the flicker of a display are left to the question how the source is off
    def fed(t: float) -> float:
        lost = made(4e-3, every_s=every_s, noise_pa=0.0).pressure_pa
        strokes = [int(n) for n in range(0, int(3600 / every_s) + 1, every)]
        before = max(n for n in strokes if n * every_s <= t)
        return 50000.0 - lost[before]

    assert refused(made(4e-3, every_s=every_s, noise_pa=0.0, extra_pa=fed)) in {"pressure_fed", "pressure_stepped_up"}


def test_rises_that_are_each_as_the_room_may_make_but_come_one_after_the_other_are_refused() -> None:
    """By hand: twice the limit takes 5 mbar from 1.2 L in 5 min (Q = V·drop/t); each second ten minutes 4.8 mbar came
    back with either reading, 28.8 mbar in all. A room that warms by 1 K moves 500 mbar gauge by 1513/294 = 5.1 mbar,
    and the air stood still."""
    shown = [50000.0]
    for n in range(12):
        shown.append(shown[-1] + (480.0 if n % 4 > 1 else -500.0))
    read = series([300.0 * n for n in range(13)], shown, [294.15] * 13, [101300.0] * 13)
    assert refused(read) == "pressure_fed"


@pytest.mark.parametrize(("every_s", "period", "up"), [(60, 4, 2), (60, 6, 3), (60, 10, 5), (60, 12, 6), (30, 16, 6)])
@pytest.mark.parametrize("mbar_min", [1.0, 2.0, 10.0, 25.0])
def test_a_leak_that_is_fed_up_over_some_readings_is_refused(
    every_s: int, period: int, up: int, mbar_min: float
) -> None:
    """By hand: 1 mbar/min from 1.2 L is 2 times the limit, 25 mbar/min 50 times (Q = V·drop/t). What leaked comes back
    evenly over the last readings of each period, and the mean stands still; the air stood still as well."""
    fall_pa = mbar_min * 100.0 * every_s / 60
    count = 3600 // every_s + 1
    shown = [50000.0]
    for n in range(count - 1):
        rises = n % period >= period - up
        shown.append(shown[-1] + (fall_pa * (period - up) / up if rises else -fall_pa))
    times = [float(every_s * n) for n in range(count)]
    read = series(times, shown, [294.15] * count, [101300.0] * count)
    assert refused(read) == "pressure_fed"


# 4e-2 mbar·L/s from 1.2 L are 2 mbar a minute, four times the limit: 200 Pa
@pytest.mark.parametrize(
    ("minutes", "fed_pa"),
    [
        ([0, 1, 20, 21, 40, 41, 60, 61], {20: 200.0, 40: 200.0, 60: 200.0}),
        ([0, 2, 4, 20, 22, 24, 40, 42, 44, 60, 62], {20: 0.0, 40: 0.0, 60: 0.0}),
    ],
)
def test_a_leak_that_is_fed_up_in_the_gaps_between_readings_is_refused(
    minutes: list[int], fed_pa: dict[int, float]
) -> None:
    pressures = [50_000.0]
    for before, now in itertools.pairwise(minutes):
        pressures.append(pressures[-1] + fed_pa.get(now, -200.0 * (now - before)))
    times = [60.0 * minute for minute in minutes]
    air, barometer = [294.15] * len(times), [101_300.0] * len(times)
    setup = replace(SETUP, gauge_step_pa=10.0)
    assert refused(series(times, pressures, air, barometer), setup) == "fed_in_the_gaps"
    tight = evaluate_pressure_hold(series(times, [50_000.0] * len(times), air, barometer), setup)
    assert tight.outcome is not Outcome.INVALID


@pytest.mark.parametrize("step_pa", [10.0, 100.0, 500.0])
@pytest.mark.parametrize(
    ("every_s", "hold_s"), [(300.0, 3600.0), (60.0, 3600.0), (31.0, 3600.0), (10.0, 3600.0), (1.0, 3600.0)]
)
def test_a_display_that_flickers_by_its_step_is_not_called_fed(every_s: float, hold_s: float, step_pa: float) -> None:
    setup = replace(SETUP, gauge_step_pa=step_pa)
    for seed in range(5):
        read = made(4e-4, hold_s=hold_s, every_s=every_s, setup=setup, noise_pa=step_pa, seed=seed)
        assert evaluate_pressure_hold(read, setup).reasons[0].code != "pressure_fed"


def test_a_volume_that_no_loop_has_proves_nothing() -> None:
    slip = replace(SETUP, volume_m3=12e-6, u_volume_m3=0.6e-6)
    assert refused(made(1e-5, setup=slip, start_pa=50000.0), slip) == "volume_below_any_loop"


def test_letting_the_pressure_down_before_the_log_ends_is_no_leak() -> None:
    vented = made(0.0, extra_pa=lambda t: -49000.0 if t > 3400 else 0.0)
    assert refused(vented) == "pressure_stepped_down"


@pytest.mark.parametrize(("at_s", "after"), [(1500, True), (3560, False)])
def test_nobody_is_told_of_stillness_after_a_fall_where_nothing_was_read_after_it(at_s: float, *, after: bool) -> None:
    why = evaluate_pressure_hold(made(0.0, extra_pa=lambda t: -1500.0 if t > at_s else 0.0), SETUP).reasons[0]
    assert why.code == "pressure_stepped_down"
    assert ("before and after" in why.template) is after


def test_a_touched_gauge_is_refused() -> None:
    assert refused(made(0.0, extra_pa=lambda t: -1500.0 if t > 1500 else 0.0)) == "pressure_stepped_down"


def test_a_coarse_display_that_falls_by_whole_steps_was_not_touched() -> None:
    setup = replace(SETUP, gauge_step_pa=1000.0)
    verdict = evaluate_pressure_hold(made(2e-3, hold_s=7200, setup=setup, noise_pa=0.0), setup)
    assert verdict.outcome is Outcome.FAIL


@pytest.mark.parametrize("rate", [5e-3, 5e-2, 5e-1])
def test_a_gross_leak_fails_rather_than_being_refused(rate: float) -> None:
    assert evaluate_pressure_hold(made(rate), SETUP).outcome is Outcome.FAIL


def test_a_refused_hold_gives_no_leak_rate_that_could_mislead() -> None:
    verdict = evaluate_pressure_hold(made(1e-3, extra_pa=lambda t: 2000.0 if t > 2000 else 0.0), SETUP)
    assert verdict.leak_rate is None
    assert verdict.drop_pa is None
    assert verdict.picture is not None


VALUES = st.floats(-1e5, 3e5) | st.sampled_from([0.0, 5e4, 5e4 - 10, 1e9, -1e9])


@settings(max_examples=150, deadline=None)
@given(
    rows=st.lists(st.tuples(st.floats(1e-3, 1e5), VALUES, st.floats(250, 330) | st.just(NAN)), max_size=60),
    weather=st.lists(st.floats(9e4, 1.1e5) | st.just(NAN), min_size=60, max_size=60),
    absolute=st.booleans(),
    running=st.booleans(),
)
def test_no_readings_whatever_break_the_judge(
    rows: list[tuple[float, float, float]], weather: list[float], absolute: bool, running: bool
) -> None:
    times = list(itertools.accumulate(step for step, _p, _k in rows))
    read = series(times, [p for _s, p, _k in rows], [k for _s, _p, k in rows], weather[: len(rows)])
    verdict = evaluate_pressure_hold(read, replace(SETUP, absolute=absolute), running=running)
    assert verdict.reasons
    if verdict.leak_rate is not None:
        assert verdict.leak_rate.lower95 <= verdict.leak_rate.value <= verdict.leak_rate.upper95
    if running:
        assert verdict.outcome is not Outcome.PASS


@pytest.mark.parametrize(
    ("step_pa", "waver_pa", "held_pa", "found"),
    [
        (10.0, 0.0, 101320.0, True),
        (10.0, 80.0, 101320.0, True),
        (100.0, 0.0, 101300.0, False),  # a coarse display agrees by chance: held at 1013 mbar, or a needle at 1020
        (2000.0, 0.0, 102000.0, False),
        (100.0, 400.0, 101320.0, True),
        (10.0, 80.0, 101200.0, False),
        (10.0, 80.0, 50000.0, False),
    ],
)
def test_a_gauge_that_shows_the_barometer_is_an_absolute_one_on_an_open_loop(
    step_pa: float, waver_pa: float, held_pa: float, found: bool
) -> None:
    """An open loop has the room's pressure, whatever that does; one that is shut in has not, once the weather moves."""
    times = [60.0 * n for n in range(61)]
    move = [waver_pa * math.sin(n / 6) for n in range(61)]
    room = [101320.0 + one for one in move]
    setup = replace(SETUP, gauge_step_pa=step_pa)
    read = series(times, [held_pa + one for one in move], [294.15] * 61, room)
    assert (evaluate_pressure_hold(read, setup).reasons[0].code == "shows_the_room") is found
    if waver_pa:
        shut = series(times, [held_pa - one for one in move], [294.15] * 61, room)
        assert evaluate_pressure_hold(shut, setup).reasons[0].code != "shows_the_room"
