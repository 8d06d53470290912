"""Serial correlation against statsmodels and published formulas."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.statistics.correlation import adjusted_error, corrected_lag1, effective_count, lag1
from commission.statistics.drop_width import block_means, t_quantile
from commission.statistics.regression import fit_line, residuals
from tests.data.day_long_hold import compensated_mbar, moles
from tests.data.read import expected, table

TIGHT = 1e-8


def test_the_hour_with_slow_noise_widens_as_published_formulas_say() -> None:
    # Source: statsmodels on the hour-long table; n_eff as cited from Zwiers and von Storch 1995, adjusted error in the
    # form of Santer et al. 2000 (from memory). Status: computed.
    data = table("hold1h_ar1_oracle")
    t, p = data["t_s"], data["p_comp_mbar"]
    line = fit_line(t, p)
    rest = residuals(line, t, p)
    assert line.slope == pytest.approx(-5.662788647984e-4, rel=TIGHT)
    assert line.s_slope == pytest.approx(2.89335841198e-5, rel=TIGHT)
    assert lag1(rest) == pytest.approx(0.524868861857, rel=TIGHT)
    n_effective = effective_count(61, lag1(rest))
    assert n_effective == pytest.approx(19.0068799696, rel=TIGHT)
    adjusted = adjusted_error(line.s_slope, 61, n_effective)
    assert adjusted == pytest.approx(5.38909596581e-5, rel=TIGHT)
    quantile = t_quantile(0.95, n_effective - 2)
    assert quantile == pytest.approx(1.73956623911, rel=TIGHT)
    litres = 1.2
    rate = -line.slope * litres
    assert rate == pytest.approx(6.79534637758e-4, rel=TIGHT)
    assert rate + quantile * adjusted * litres == pytest.approx(7.92030910576e-4, rel=TIGHT)
    half_width = math.hypot(quantile * adjusted * 3600, 1.644853627 * 0.1 / math.sqrt(3))
    assert rate + half_width * litres / 3600 == pytest.approx(7.96399793082e-4, rel=TIGHT)


def test_the_block_example_agrees_in_every_step() -> None:
    # Source: numpy on the first 60 rows of the hour-long table, 20 blocks of 3. Status: computed.
    data = table("hold1h_ar1_oracle")
    t, p = (block_means(data[name][:60], 20) for name in ("t_s", "p_comp_mbar"))
    line = fit_line(t, p)
    assert line.slope == pytest.approx(-5.53606237817e-4, rel=1e-9)
    assert line.s_slope == pytest.approx(3.99158965248e-5, rel=1e-9)
    r = lag1(residuals(line, t, p))
    assert r == pytest.approx(0.264733494852, rel=1e-9)
    n_effective = effective_count(20, corrected_lag1(r, 20))
    assert adjusted_error(line.s_slope, 20, n_effective) == pytest.approx(6.17042059079e-5, rel=1e-9)
    assert t_quantile(0.95, n_effective - 2) == pytest.approx(1.87462351818, rel=1e-9)


def test_residuals_that_alternate_never_narrow_a_bound() -> None:
    # Source: statsmodels on the 24 h table, whose residuals alternate. Status: computed.
    hours, pressure = moles()[0], compensated_mbar()
    rest = residuals(fit_line(hours, pressure), hours, pressure)
    assert lag1(rest) == pytest.approx(expected("masspoint_oracle", "expected Durbin-Watson")[1], rel=TIGHT)
    assert effective_count(25, lag1(rest)) == 25


def test_six_hundred_slow_readings_are_worth_thirty_two() -> None:
    # Source: n(1 - r)/(1 + r), formula read in course notes on climate data; value computed.
    assert effective_count(600, 0.9) == pytest.approx(31.5789474, rel=1e-8)


def test_readings_that_alternate_are_not_worth_more_than_they_are() -> None:
    assert effective_count(100, -0.9) == 100
    assert corrected_lag1(-0.9, 20) == 0.0


def test_the_correction_is_clipped_where_it_cannot_be_told_from_a_trend() -> None:
    assert corrected_lag1(0.9, 20) == 0.95


def test_the_corrected_lag_is_that_of_the_block_example() -> None:
    # Source: numpy, 20 blocks of the hour-long table. Status: computed.
    assert corrected_lag1(0.264733494852, 20) == pytest.approx(0.354443519080, rel=1e-9)
    assert effective_count(20, 0.354443519080) == pytest.approx(9.53242378625, rel=1e-9)


@settings(deadline=None)
@given(st.floats(0, 0.99), st.floats(0, 0.99), st.integers(3, 10_000))
def test_more_memory_is_fewer_readings(r_a: float, r_b: float, n: int) -> None:
    low, high = sorted((r_a, r_b))
    assert effective_count(n, high) <= effective_count(n, low) <= n


def test_a_display_that_never_moves_has_no_correlation() -> None:
    assert lag1([0.0, 0.0, 0.0]) == 0.0


@settings(deadline=None)
@given(st.lists(st.floats(-1e3, 1e3).filter(lambda v: v == 0 or abs(v) > 1e-3), min_size=2, max_size=50))
def test_correlation_stays_within_one(rest: list[float]) -> None:
    # Source: Cauchy-Schwarz.
    assert -1 <= lag1(rest) <= 1


def test_impossible_figures_are_refused() -> None:
    with pytest.raises(ValueError, match="at least 2"):
        lag1([1.0])
    with pytest.raises(ValueError, match="r1 must lie"):
        corrected_lag1(1.5, 20)
    with pytest.raises(ValueError, match="r1 must lie"):
        effective_count(10, 1.0)
    for n in (0, -1):
        with pytest.raises(ValueError, match="n must be positive"):
            corrected_lag1(0.0, n)
        with pytest.raises(ValueError, match="n must be positive"):
            effective_count(n, 0.0)
    assert corrected_lag1(0.2, 1) == 0.95
    assert effective_count(1, 0.0) == 1.0
    with pytest.raises(ValueError, match="effective count"):
        adjusted_error(1.0, 10, 2.0)
