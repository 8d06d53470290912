"""Serial correlation against statsmodels and published formulas."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.evaluate.correlation import (
    adjusted_error,
    corrected_lag1,
    durbin_watson,
    effective_count,
    lag1,
    newey_west_error,
    slope_error,
)
from commission.evaluate.drop_width import t_quantile
from commission.evaluate.regression import fit_line, residuals
from tests.data.day_long_hold import compensated_mbar, moles
from tests.data.read import expected, table
from tests.reference import least_squares

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
    assert durbin_watson(rest) == pytest.approx(0.895007608372, rel=TIGHT)
    n_effective = effective_count(61, lag1(rest))
    assert n_effective == pytest.approx(19.0068799696, rel=TIGHT)
    adjusted = adjusted_error(line.s_slope, 61, n_effective)
    assert adjusted == pytest.approx(5.38909596581e-5, rel=TIGHT)
    quantile = t_quantile(0.95, n_effective - 2)
    assert quantile == pytest.approx(1.73956623911, rel=TIGHT)
    litres = 1.2
    rate = -line.slope * litres
    assert rate == pytest.approx(6.79534637758e-4, rel=TIGHT)
    naive = rate + t_quantile(0.95, line.dof) * line.s_slope * litres
    assert naive == pytest.approx(7.37555490738e-4, rel=TIGHT)
    assert rate + quantile * adjusted * litres == pytest.approx(7.92030910576e-4, rel=TIGHT)
    half_width = math.hypot(quantile * adjusted * 3600, 1.644853627 * 0.1 / math.sqrt(3))
    assert rate + half_width * litres / 3600 == pytest.approx(7.96399793082e-4, rel=TIGHT)


def test_newey_west_agrees_with_statsmodels_on_the_hour_long_table() -> None:
    # Source: statsmodels, HAC with 4 lags without and with its small-sample factor. Status: computed.
    data = table("hold1h_ar1_oracle")
    t, p = data["t_s"], data["p_comp_mbar"]
    line = fit_line(t, p)
    assert newey_west_error(line, t, p, 4) == pytest.approx(4.860336999945905e-5, rel=TIGHT)
    corrected = newey_west_error(line, t, p, 4, small_sample=True)
    assert corrected == pytest.approx(4.9420290572090794e-5, rel=TIGHT)
    assert slope_error(line, t, p) > line.s_slope


def test_a_correction_never_narrows_a_bound() -> None:
    # Source: statsmodels on the 24 h table, whose residuals alternate. Status: computed.
    hours, pressure = moles()[0], compensated_mbar()
    line = fit_line(hours, pressure)
    rest = residuals(line, hours, pressure)
    want = expected("masspoint_oracle", "expected Durbin-Watson")
    assert [durbin_watson(rest), lag1(rest)] == pytest.approx(want, rel=TIGHT)
    plain, corrected = expected("masspoint_oracle", "expected Newey-West")
    assert newey_west_error(line, hours, pressure) == pytest.approx(plain, rel=TIGHT)
    assert newey_west_error(line, hours, pressure, small_sample=True) == pytest.approx(corrected, rel=TIGHT)
    assert plain < line.s_slope
    assert slope_error(line, hours, pressure) == line.s_slope
    assert effective_count(25, lag1(rest)) == 25


@pytest.mark.parametrize("lags", [0, 1, 5, 20])
def test_newey_west_agrees_with_a_reference_library(lags: int) -> None:
    # Source: statsmodels.OLS with HAC covariance, run beside it. Status: reference library.
    rng = np.random.default_rng(lags)
    x = np.arange(80.0)
    y = 3 - 0.1 * x + rng.normal(0, 1, 80).cumsum() * 0.3
    from statsmodels.stats.stattools import durbin_watson as reference_durbin_watson

    other = least_squares(y, x).fit(cov_type="HAC", cov_kwds={"maxlags": lags, "use_correction": False})
    line = fit_line(x, y)
    assert newey_west_error(line, x, y, lags) == pytest.approx(other.bse[1], rel=1e-9)
    assert durbin_watson(residuals(line, x, y)) == pytest.approx(reference_durbin_watson(other.resid), rel=1e-9)


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


def test_a_display_that_never_moves_has_no_correlation() -> None:
    assert lag1([0.0, 0.0, 0.0]) == 0.0
    assert durbin_watson([0.0, 0.0, 0.0]) == 2.0


@settings(deadline=None)
@given(st.lists(st.floats(-1e3, 1e3).filter(lambda v: v == 0 or abs(v) > 1e-3), min_size=2, max_size=50))
def test_correlation_stays_within_one_and_durbin_watson_follows_it(rest: list[float]) -> None:
    # Source: algebra: DW = 2(1 - r1) - (e1² + en²)/Σe².
    r1 = lag1(rest)
    assert -1 <= r1 <= 1
    square = sum(v * v for v in rest)
    if square > 0:
        ends = (rest[0] ** 2 + rest[-1] ** 2) / square
        assert durbin_watson(rest) == pytest.approx(2 * (1 - r1) - ends, abs=1e-9)


@settings(deadline=None)
@given(st.floats(0, 0.99), st.floats(0, 0.99), st.integers(3, 10_000))
def test_more_memory_is_fewer_readings(r_a: float, r_b: float, n: int) -> None:
    low, high = sorted((r_a, r_b))
    assert effective_count(n, high) <= effective_count(n, low) <= n


def test_impossible_figures_are_refused() -> None:
    line = fit_line([0, 1, 2], [0, 3, 0])
    with pytest.raises(ValueError, match="at least 2"):
        lag1([1.0])
    with pytest.raises(ValueError, match="at least 2"):
        durbin_watson([1.0])
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
    with pytest.raises(ValueError, match="lags"):
        newey_west_error(line, [0, 1, 2], [0, 3, 0], 3)
    with pytest.raises(ValueError, match="fitted to 3 points"):
        newey_west_error(line, [0, 1], [0, 3])
