"""Whole verdicts against worked examples, tables and closed solutions from outside the program."""

import math
from array import array
from collections.abc import Sequence
from enum import StrEnum
from typing import cast

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.base.frozen import Frozen, replace
from commission.base.verdict import Outcome
from commission.stages.pressure_hold.judge.bounds import level_of_look
from commission.stages.pressure_hold.judge.verdict import evaluate_pressure_hold
from commission.stages.pressure_hold.model import HoldVerdict
from tests.data.read import expected, table
from tests.stages.pressure_hold.hold_makers import EXACT, NAN, SETUP, made, series, viscous_gauge


def codes(verdict: HoldVerdict) -> list[str]:
    """Return the codes of the reasons."""
    return [reason.code for reason in verdict.reasons]


@pytest.mark.parametrize(("reference_k", "drop_mbar"), [(293.15, 3.134006290), (294.65, 3.150042481)])
def test_a_start_and_an_end_reading_give_the_drop_of_the_gas_law(reference_k: float, drop_mbar: float) -> None:
    # Ideal gas by hand: 500.0 and 497.0 mbar, barometer 1013.2 and 1011.0 mbar, 21.50 and 21.10 °C, one hour, 1.2 L.
    setup = replace(EXACT, reference_k=reference_k)
    read = series([0, 3600], [50000, 49700], [294.65, 294.25], [101320, 101100])
    verdict = evaluate_pressure_hold(read, setup)
    assert verdict.drop_pa == pytest.approx(100 * drop_mbar, rel=1e-8)
    assert verdict.leak_rate is not None
    # V·drop/t is the mean rate; at the start pressure it is greater by half of the lost share of the drive, ~0.4 %
    mean = 1.2e-3 * 100 * drop_mbar / 3600
    assert mean < verdict.leak_rate.value < 1.006 * mean
    assert verdict.outcome is Outcome.PASS


def test_a_falling_barometer_and_a_cooling_room_are_not_a_leak() -> None:
    # Ideal gas by hand: 500 mbar, barometer 1015 → 1008 mbar, 22.0 → 20.5 °C without leak reads 499.3005251567 mbar.
    read = series([0, 3600], [50000, 49930.05251567], [295.15, 293.65], [101500, 100800])
    verdict = evaluate_pressure_hold(read, EXACT)
    assert verdict.outcome is Outcome.PASS
    assert verdict.drop_pa == pytest.approx(0, abs=1e-4)


def test_a_leak_hidden_by_a_warming_room_is_found() -> None:
    # Ideal gas by hand: 6 mbar lost at 20 °C, gas warmed by 1.2 K: 500.1688556 mbar, "no drop" on the gauge.
    read = series([0, 3600], [50000, 50016.88556], [293.15, 294.35], [101300, 101300])
    verdict = evaluate_pressure_hold(read, replace(EXACT, limit_pa_m3_s=1e-4))
    assert verdict.drop_pa == pytest.approx(600, abs=1e-3)
    assert verdict.outcome is Outcome.FAIL
    assert {rule.name: rule.outcome for rule in verdict.plain_rules} == {
        "fixed drop": Outcome.PASS,
        "no visible drop": Outcome.PASS,
    }


def test_a_room_that_cools_by_two_kelvin_fools_the_fixed_drop_but_not_the_verdict() -> None:
    setup = replace(SETUP, limit_pa_m3_s=2.5e-4)
    verdict = evaluate_pressure_hold(made(0.0, air=lambda t: 295.15 - 2.0 * t / 3600, setup=setup), setup)
    assert verdict.outcome is Outcome.PASS
    assert verdict.plain_rules[0].outcome is Outcome.FAIL


@pytest.mark.parametrize(("hours", "left_mbar"), [(1, 497.010748), (6, 482.381127), (24, 433.784606)])
def test_the_rate_at_the_start_pressure_comes_from_the_closed_viscous_solution(hours: int, left_mbar: float) -> None:
    # Closed solution, computed with mpmath: 1.2 L, 500 mbar over 1013.25 mbar, 1e-3 mbar·L/s at the start.
    read = series([0, 3600 * hours], [50000, 100 * left_mbar], [293.15] * 2, [101325] * 2)
    verdict = evaluate_pressure_hold(read, EXACT)
    assert verdict.leak_rate is not None
    assert verdict.leak_rate.value == pytest.approx(1e-4, rel=1e-6)


def test_a_straight_line_passes_the_overnight_leak_that_the_viscous_law_does_not() -> None:
    setup = replace(EXACT, gauge_step_pa=1.0)
    read = made(1.1e-3, hold_s=12 * 3600, every_s=60, setup=setup, noise_pa=0.5)
    verdict = evaluate_pressure_hold(read, setup)
    assert verdict.leak_rate is not None
    absolute = np.asarray(read.pressure_pa) + np.asarray(read.barometer_pa)
    slope = np.polyfit(read.elapsed_s, absolute * 293.15 / 294.15, 1)[0]
    assert -slope * setup.volume_m3 < 0.9e-3
    assert verdict.leak_rate.value == pytest.approx(1.1e-3 * 293.15 / 294.15, rel=5e-3)
    assert verdict.outcome is Outcome.FAIL


def test_nearly_all_gas_gone_still_gives_the_rate_of_the_start() -> None:
    read = made(2e-2, hold_s=8 * 3600, every_s=10)
    assert min(read.pressure_pa) < 500.0
    verdict = evaluate_pressure_hold(read, SETUP)
    assert verdict.leak_rate is not None
    assert verdict.leak_rate.value == pytest.approx(2e-2 * 293.15 / 294.15, rel=0.02)
    assert verdict.outcome is Outcome.FAIL


def test_what_little_is_left_at_the_end_bounds_the_rate_of_the_start() -> None:
    # Closed solution by hand: g/(g + 2pb) falls exponentially, so with ends of 20 mbar ± one step of 10 mbar the rate
    # lies between ln(share0/share(30 mbar)) and ln(share0/share(10 mbar)) over ln(share0/share(20 mbar)).
    read = series([0, 86400], [50000.0, 2000.0], [293.15] * 2, [101325.0] * 2)
    verdict = evaluate_pressure_hold(read, replace(EXACT, gauge_step_pa=1000.0))

    def log_share(gauge_pa: float) -> float:
        return math.log(gauge_pa / (gauge_pa + 2 * 101325.0))

    fall = log_share(50000.0) - log_share(2000.0)
    assert verdict.leak_rate is not None
    assert verdict.leak_rate.upper95 / verdict.leak_rate.value > 0.95 * (log_share(50000) - log_share(1000)) / fall
    assert verdict.leak_rate.lower95 / verdict.leak_rate.value < 1.05 * (log_share(50000) - log_share(3000)) / fall
    assert verdict.outcome is Outcome.FAIL


def test_the_day_long_table_holds_the_leak_that_was_built_in() -> None:
    # tests/data/masspoint_oracle.csv: 25 hourly rows; fitted slope −0.596761818266 mbar/h (mpmath, statsmodels);
    # built-in leak 1.987795e-4 mbar·L/s at 293.15 K.
    data = table("masspoint_oracle")
    read = series(
        [3600 * t for t in data["t_h"]],
        [100 * p for p in data["p_gauge_mbar"]],
        [t + 273.15 for t in data["T_C"]],
        [100 * p for p in data["p_baro_mbar"]],
    )
    verdict = evaluate_pressure_hold(read, replace(EXACT, gauge_step_pa=10.0, air_step_k=0.01))
    slope = expected("masspoint_oracle", "expected slope, s.e. (mbar/h); intercept")[0]
    assert verdict.drop_pa == pytest.approx(-slope * 24 * 100, rel=5e-3)
    assert verdict.leak_rate is not None
    assert verdict.leak_rate.lower95 < 1.987795e-5 < verdict.leak_rate.upper95
    assert verdict.leak_rate.upper95 / verdict.leak_rate.value < 1.1


def test_the_hour_with_slow_noise_has_the_width_of_the_block_rule_and_the_thermometer() -> None:
    # tests/data/hold1h_ar1_oracle.csv, first 60 rows: half-width 0.427111103495 mbar over 3600 s (numpy), so
    # 3540/3600 of its scatter part here; thermometer by hand 1.644854·√2·0.05 K·(1503.9/293.15) mbar/K.
    data = table("hold1h_ar1_oracle")
    pressure = [100 * p for p in data["p_comp_mbar"]][:60]
    read = series(data["t_s"][:60], pressure, [293.15] * 60)
    verdict = evaluate_pressure_hold(read, replace(EXACT, absolute=True, air_step_k=0.0, settle_s=0.0))
    steps = 1.644854 * 0.1 / math.sqrt(3)
    scatter = math.sqrt(0.427111103495**2 - steps**2) * 3540 / 3600
    thermometer = 1.644854 * math.sqrt(2) * 0.05 * 1503.9 / 293.15
    width = math.sqrt(scatter**2 + steps**2 + thermometer**2)
    assert verdict.leak_rate is not None
    assert verdict.drop_pa is not None
    seen = (verdict.leak_rate.upper95 / verdict.leak_rate.value - 1) * verdict.drop_pa
    assert seen == pytest.approx(100 * width, rel=0.01)


@pytest.mark.parametrize("count", [2, 5, 61, 3601])
def test_a_display_that_never_moves_does_not_prove_a_leak_of_nothing(count: int) -> None:
    # One step of 1 mbar over 1 h in 1.2 L: 1.644854/√3 mbar give 3.1655e-4 mbar·L/s, by hand.
    times = [3600 * i / (count - 1) for i in range(count)]
    read = series(times, [50000.0] * count, [293.15] * count, [101325.0] * count)
    verdict = evaluate_pressure_hold(read, replace(EXACT, gauge_step_pa=100.0, air_step_k=0.0))
    assert verdict.leak_rate is not None
    assert 3.1655e-5 < verdict.leak_rate.upper95 < 2 * 3.1655e-5
    assert verdict.outcome is Outcome.PASS


def test_without_a_thermometer_the_stated_swing_is_added() -> None:
    # P/T by hand at 500 mbar over 1010 mbar and 293.15 K: 5.151 mbar/K, so 1 K alone is 515.1 Pa.
    read = series([0, 3600], [50000, 50000], None, [101000, 101000])
    verdict = evaluate_pressure_hold(read, EXACT)
    assert verdict.leak_rate is not None
    assert verdict.leak_rate.upper95 * 3600 / 1.2e-3 > 515.1
    assert "no_thermometer" in codes(verdict)


def test_without_a_barometer_its_swing_is_added_unless_the_gauge_is_absolute() -> None:
    air = [293.15, 293.15]
    widths = [
        evaluate_pressure_hold(series([0, 3600], pressure, air), replace(EXACT, absolute=absolute)).leak_rate
        for pressure, absolute in (([50000.0] * 2, False), ([151325.0] * 2, True))
    ]
    assert widths[0] is not None
    assert widths[1] is not None
    # 1 mbar and 1 mbar/h, common practice without a source
    assert (widths[0].upper95 - widths[1].upper95) * 3600 / 1.2e-3 == pytest.approx(200, rel=0.02)


def test_air_and_barometer_may_be_read_less_often_than_the_gauge() -> None:
    full = made(2e-4, every_s=60, air=lambda t: 294.15 + t / 7200)
    air = [k if i % 10 == 0 else NAN for i, k in enumerate(full.air_k)]
    weather = [b if i % 30 == 0 else NAN for i, b in enumerate(full.barometer_pa)]
    verdict = evaluate_pressure_hold(replace(full, air_k=air, barometer_pa=weather), SETUP)
    assert verdict.leak_rate is not None
    assert verdict.leak_rate.lower95 < 2e-4 < verdict.leak_rate.upper95
    assert verdict.outcome is Outcome.PASS


def test_air_read_at_start_and_end_only_is_compared_with_the_gauge_beside_it() -> None:
    full = made(2e-4, every_s=10, air=lambda t: 294.15 + 0.4 * math.sin(t / 700))
    air = [k if i in {0, len(full.air_k) - 1} else NAN for i, k in enumerate(full.air_k)]
    verdict = evaluate_pressure_hold(replace(full, air_k=air), SETUP)
    assert verdict.leak_rate is not None
    assert verdict.leak_rate.lower95 < 2e-4 < verdict.leak_rate.upper95
    assert verdict.outcome is Outcome.PASS


def test_a_hold_that_was_extended_needs_more_to_decide() -> None:
    read = series([0, 3600], [50000, 47300], [293.15] * 2, [101000] * 2)
    setup = replace(SETUP, gauge_step_pa=100.0, u_volume_m3=1.0e-5)
    first = evaluate_pressure_hold(read, setup)
    limit = (first.leak_rate.at_most if first.leak_rate else 0.0) * 1.0001
    close = replace(setup, limit_pa_m3_s=limit)
    assert evaluate_pressure_hold(read, close).outcome is Outcome.PASS
    assert evaluate_pressure_hold(read, close, look=2).outcome is Outcome.INCONCLUSIVE


def test_an_inconclusive_hold_says_how_long_would_decide_and_that_decides() -> None:
    setup = replace(SETUP, gauge_step_pa=1000.0)
    short = evaluate_pressure_hold(made(2e-4, hold_s=600, every_s=5, setup=setup, noise_pa=300), setup)
    assert short.outcome is Outcome.INCONCLUSIVE
    assert short.hold_needed_s is not None
    long = made(2e-4, hold_s=1.3 * short.hold_needed_s, every_s=5, setup=setup, noise_pa=300)
    assert evaluate_pressure_hold(long, setup).outcome is Outcome.PASS


def test_a_leak_at_the_limit_is_not_decided_by_waiting() -> None:
    verdict = evaluate_pressure_hold(made(1e-3), SETUP)
    assert verdict.outcome is Outcome.INCONCLUSIVE
    assert verdict.hold_needed_s is None
    assert "longer_hold_does_not_decide" in codes(verdict)


def test_all_looks_together_spend_less_than_5_percent() -> None:
    # union bound by hand: 0.05/2 + 0.05/4 + ... < 0.05; the sum of 0.05/look would be 11 % at the fifth
    assert sum(1 - level_of_look(look) for look in range(1, 30)) < 0.05
    assert level_of_look(1) == 0.975
    with pytest.raises(ValueError, match="1 or more"):
        level_of_look(0)


@pytest.mark.parametrize("share", [0.0, 0.3, 0.9, 1.5])
def test_a_running_hold_never_passes(share: float) -> None:
    verdict = evaluate_pressure_hold(made(share * 1e-3, hold_s=1800), SETUP, planned_s=3600, running=True)
    assert verdict.outcome in {Outcome.INCONCLUSIVE, Outcome.FAIL}
    assert codes(verdict)[0] in {"before_planned_end", "gross_leak_called_early"}


def test_a_gross_leak_is_called_early() -> None:
    verdict = evaluate_pressure_hold(made(2e-2, hold_s=900), SETUP, planned_s=3600, running=True)
    assert verdict.outcome is Outcome.FAIL
    assert codes(verdict)[0] == "gross_leak_called_early"


def test_in_the_first_minutes_settling_may_explain_even_a_steep_fall() -> None:
    verdict = evaluate_pressure_hold(made(2e-2, hold_s=120, every_s=5), SETUP, planned_s=3600, running=True)
    assert verdict.outcome is Outcome.INCONCLUSIVE


def test_a_hold_that_ended_far_too_early_is_not_judged() -> None:
    verdict = evaluate_pressure_hold(made(0.0, hold_s=1800), SETUP, planned_s=3600)
    assert verdict.outcome is Outcome.INCONCLUSIVE


@settings(max_examples=40, deadline=None)
@given(
    small=st.floats(0, 5e-3),
    more=st.floats(0, 3e-2),
    seed=st.integers(0, 10_000),
    hold_s=st.sampled_from([600.0, 3600.0, 40_000.0]),
    count=st.sampled_from([2, 9, 200]),
    drift_k=st.floats(-1, 1),
)
def test_a_bigger_leak_never_turns_fail_into_pass(
    small: float, more: float, seed: int, hold_s: float, count: int, drift_k: float
) -> None:
    outcomes = [
        evaluate_pressure_hold(
            made(
                rate,
                hold_s=hold_s,
                every_s=hold_s / (count - 1),
                seed=seed,
                air=lambda t: 294.15 + drift_k * t / hold_s,
            ),
            SETUP,
        ).outcome
        for rate in (small, small + more)
    ]
    assert outcomes[0] is not Outcome.FAIL or outcomes[1] is not Outcome.PASS


@settings(max_examples=25, deadline=None)
@given(shift_s=st.floats(0, 1e6), seed=st.integers(0, 1000))
def test_the_hour_of_the_start_does_not_matter(shift_s: float, seed: int) -> None:
    read = made(5e-4, every_s=30, seed=seed)
    later = replace(read, elapsed_s=[t + shift_s for t in read.elapsed_s])
    one, two = evaluate_pressure_hold(read, SETUP), evaluate_pressure_hold(later, SETUP)
    assert one.leak_rate is not None
    assert two.leak_rate is not None
    assert two.leak_rate.upper95 == pytest.approx(one.leak_rate.upper95, rel=1e-6)
    assert two.outcome is one.outcome


def test_lists_arrays_and_numpy_columns_give_the_same_verdict() -> None:
    read = made(3e-4, every_s=30)
    columns = [read.elapsed_s, read.pressure_pa, read.air_k, read.barometer_pa]
    plain = evaluate_pressure_hold(read, SETUP)
    packed = series(*(array("d", column) for column in columns))
    dense = series(*(cast("Sequence[float]", np.asarray(column)) for column in columns))
    assert evaluate_pressure_hold(packed, SETUP) == plain
    assert evaluate_pressure_hold(dense, SETUP) == plain


def plain_parts(value: object) -> bool:
    """Return whether a value is made of the standard library's own types only."""
    if isinstance(value, Frozen):
        return all(plain_parts(getattr(value, name)) for name in value.__struct_fields__)
    if isinstance(value, tuple):
        return all(plain_parts(part) for part in value)
    return value is None or isinstance(value, StrEnum) or type(value) in {bool, int, float, str}


@pytest.mark.parametrize("rate", [0.0, 1e-3, 1e-2])
def test_a_verdict_is_made_of_plain_values_and_whole_sentences(rate: float) -> None:
    verdict = evaluate_pressure_hold(made(rate), SETUP)
    assert plain_parts(verdict)
    assert 1 <= len(verdict.reasons) <= 6
    for phrase in (*verdict.reasons, *(rule.why for rule in verdict.plain_rules)):
        filled = phrase.template.format(*(f"{amount.si:g}" for amount in phrase.amounts))
        assert "{" not in filled
        assert filled.endswith(".")
        assert all(f"{{{i}}}" in phrase.template for i in range(len(phrase.amounts)))


def test_the_first_reason_is_the_one_that_decided() -> None:
    assert codes(evaluate_pressure_hold(made(0.0), SETUP))[0] == "upper_bound_within_limit"
    assert codes(evaluate_pressure_hold(made(3e-3), SETUP))[0] == "lower_bound_beyond_limit"
    assert codes(evaluate_pressure_hold(made(1e-3), SETUP))[0] == "limit_between_bounds"


def test_the_picture_is_thin_and_its_curves_are_ordered() -> None:
    verdict = evaluate_pressure_hold(made(5e-4, every_s=1), SETUP)
    picture = verdict.picture
    assert picture is not None
    assert len(picture.points.elapsed_s) == len(picture.points.pressure_pa) <= 600
    for low, fit, high in zip(picture.low.pressure_pa, picture.fit.pressure_pa, picture.high.pressure_pa, strict=True):
        assert low <= fit <= high
    # the limit loses 1e-3·3600/1.2e-3 = 3000 Pa, a little less as the pressure falls
    assert picture.limit.pressure_pa[-1] == pytest.approx(-3000, rel=0.06)


def test_a_limit_in_the_closed_solution_is_the_curve_that_is_drawn() -> None:
    verdict = evaluate_pressure_hold(made(1e-3, hold_s=6 * 3600, every_s=60, noise_pa=1.0), SETUP)
    assert verdict.picture is not None
    lost = 50000.0 - viscous_gauge(50000.0, 101000.0, 1e-3, 1.2e-3, 6 * 3600)
    assert verdict.picture.limit.pressure_pa[-1] == pytest.approx(-lost, rel=0.01)


@pytest.mark.parametrize("change", [{"volume_m3": 0.0}, {"limit_pa_m3_s": -1.0}, {"gauge_step_pa": 0.0}])
def test_an_impossible_set_up_is_refused(change: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="must be above 0"):
        evaluate_pressure_hold(made(0.0, every_s=600), replace(SETUP, **change))  # type: ignore[arg-type]
