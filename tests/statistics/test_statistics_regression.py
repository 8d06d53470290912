"""The straight line against certified data, the guide's own example and two reference libraries."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.statistics.drop_width import t_quantile
from commission.statistics.regression import Line, fit_line, residuals
from tests.data.day_long_hold import REFERENCE_K, compensated_mbar, moles
from tests.data.read import expected, table
from tests.reference import stats

TIGHT = 1e-9


def intercept(line: Line) -> float:
    """Return where the line crosses x = 0."""
    return line.y_mean - line.slope * line.x_mean


def test_the_line_agrees_with_nist_norris() -> None:
    # Source: NIST StRD, Norris, certified values in the header of the file. Status: read.
    data = table("strd_norris")
    line = fit_line(data["x"], data["y"])
    b0, _s0 = expected("strd_norris", "certified B0")
    b1, s1 = expected("strd_norris", "certified B1")
    residual_sd, _r2 = expected("strd_norris", "certified residual_sd")
    ssr = expected("strd_norris", "certified ANOVA")[5]
    got = (intercept(line), line.slope, line.s_slope, line.residual_sd, line.ssr)
    assert got == pytest.approx((b0, b1, s1, residual_sd, ssr), rel=TIGHT)
    assert line.dof == 34


def test_the_thermometer_of_the_guide_comes_out_as_printed() -> None:
    # Source: JCGM 100:2008 H.3 and Table H.6, printed results in the header of the file. Status: read.
    data = table("gum_h3")
    line = fit_line([t - 20 for t in data["t_degC"]], data["b_degC"])
    assert f"{intercept(line):.4f}" == "-0.1712"
    assert f"{line.slope:.5f}({line.s_slope:.5f})" == "0.00218(0.00067)"
    assert f"{intercept(line) + 10 * line.slope:.4f}" == "-0.1494"
    assert line.ssr == pytest.approx(0.000110096583109, rel=TIGHT)


def test_the_thermometer_of_the_guide_agrees_in_all_digits() -> None:
    # Source: the GTC library and statsmodels on the same table. Status: computed.
    data = table("gum_h3")
    line = fit_line([t - 20 for t in data["t_degC"]], data["b_degC"])
    assert intercept(line) == pytest.approx(-0.17120379013135, rel=TIGHT)
    assert line.slope == pytest.approx(0.00218269773988729, rel=TIGHT)
    assert line.s_slope == pytest.approx(0.00066793877322782, rel=TIGHT)
    assert line.residual_sd == pytest.approx(0.00349756396351, rel=TIGHT)


def test_the_mass_point_method_finds_the_daily_loss_and_its_bound() -> None:
    # Source: table computed with mpmath, cross-checked with statsmodels. Status: computed. The forms of the bound
    # are those of ANSI/ANS-56.8 from memory.
    hours, amount = moles()
    first_last = expected("masspoint_oracle", "expected moles")
    assert [amount[0], amount[-1]] == pytest.approx(first_last, rel=TIGHT)
    line = fit_line(hours, amount)
    assert [intercept(line), line.slope] == pytest.approx(expected("masspoint_oracle", "expected B (mol)"), rel=TIGHT)
    spread = [line.residual_sd, line.s_slope]
    assert spread == pytest.approx(expected("masspoint_oracle", "expected residual s")[:2], rel=TIGHT)
    loss = -2400 * line.slope / intercept(line)
    assert [loss] == pytest.approx(expected("masspoint_oracle", "expected L_am"), rel=TIGHT)
    simple = 2400 * line.s_slope / intercept(line)
    assert simple == pytest.approx(expected("masspoint_oracle", "expected S_L")[0], rel=TIGHT)
    t = t_quantile(0.95, line.dof)
    assert [t] == pytest.approx(expected("masspoint_oracle", "expected t95(23)"), rel=TIGHT)
    bound = loss + t * simple
    assert bound == pytest.approx(expected("masspoint_oracle", "expected UCL95 simple")[0], rel=TIGHT)


def test_the_leak_rate_of_the_day_long_table_and_its_two_bounds() -> None:
    # Source: mpmath and statsmodels on the same table. Status: computed.
    hours, pressure = moles()[0], compensated_mbar()
    ends = [pressure[0], pressure[-1], pressure[0] - pressure[-1]]
    assert ends == pytest.approx(expected("masspoint_oracle", "expected p_c"), rel=TIGHT)
    line = fit_line(hours, pressure)
    got = [line.slope, line.s_slope, intercept(line), line.residual_sd]
    assert got == pytest.approx(expected("masspoint_oracle", "expected slope"), rel=TIGHT)
    rate, s = -line.slope * 1.2 / 3600, line.s_slope * 1.2 / 3600
    t = t_quantile(0.95, line.dof)
    want = expected("masspoint_oracle", "expected Q, s(Q)")
    assert [rate, s, rate + t * s, rate - t * s] == pytest.approx(want, rel=TIGHT)
    assert rate - t * s < 1.987795e-4 < rate + t * s  # the leak that was built into the table


def test_the_point_to_point_method_agrees_with_its_table_and_is_poor() -> None:
    # Source: mpmath; the method is containment practice from memory. Status: computed.
    hours, amount = moles()
    losses = np.array(
        [2400 / (hours[i] - hours[i - 1]) * (1 - amount[i] / amount[i - 1]) for i in range(1, len(hours))]
    )
    mean, sd = float(losses.mean()), float(losses.std(ddof=1))
    error = sd / math.sqrt(losses.size)
    bound = mean + t_quantile(0.95, losses.size - 1) * error
    want = expected("masspoint_oracle", "expected point to point")
    assert [float(losses[0]), mean, sd, error, bound] == pytest.approx(want, rel=TIGHT)
    mass_point_bound = expected("masspoint_oracle", "expected UCL95 simple")[0]
    assert bound - mean > 10 * (mass_point_bound - 0.950251321184)


def test_uncompensated_pressures_tell_another_story() -> None:
    # Source: statsmodels on the same table (wrong methods, kept as a warning). Status: computed.
    data = table("masspoint_oracle")
    naive = fit_line(data["t_h"], data["p_gauge_mbar"])
    assert [naive.slope, naive.s_slope] == pytest.approx(expected("masspoint_oracle", "expected naive")[:2], rel=TIGHT)
    absolute = [g + b for g, b in zip(data["p_gauge_mbar"], data["p_baro_mbar"], strict=True)]
    want = expected("masspoint_oracle", "expected absolute")[0]
    assert fit_line(data["t_h"], absolute).slope == pytest.approx(want, rel=TIGHT)
    scaled = [g * REFERENCE_K / (t + 273.15) for g, t in zip(data["p_gauge_mbar"], data["T_C"], strict=True)]
    want = expected("masspoint_oracle", "expected gauge*Tr/T")[0]
    assert fit_line(data["t_h"], scaled).slope == pytest.approx(want, rel=TIGHT)


@pytest.mark.parametrize(
    ("from_s", "slope_mbar_h"), [(0, -3.960029), (600, -1.622845), (1200, -1.506559), (1800, -1.500390)]
)
def test_a_line_through_the_settling_part_overstates_the_leak(from_s: float, slope_mbar_h: float) -> None:
    # Source: statsmodels on the settling curve; the truth is -1.5 mbar/h. Status: computed.
    data = table("settle_oracle")
    kept = [(t, p) for t, p in zip(data["t_s"], data["p_comp_mbar"], strict=True) if t >= from_s]
    line = fit_line([t for t, _ in kept], [p for _, p in kept])
    assert line.slope * 3600 == pytest.approx(slope_mbar_h, abs=1e-5)


def test_seconds_since_1970_cost_no_digits() -> None:
    # Source: statsmodels on the hour-long table, -2.03860391327 mbar/h. Status: computed. Normal equations in the
    # same precision give -2.0387389.
    data = table("hold1h_ar1_oracle")
    line = fit_line([1_764_000_000 + t for t in data["t_s"]], data["p_comp_mbar"])
    assert line.slope * 3600 == pytest.approx(-2.03860391327, rel=1e-9)


@pytest.mark.parametrize("seed", range(5))
def test_the_line_agrees_with_two_reference_libraries(seed: int) -> None:
    # Source: scipy.stats.linregress and numpy.linalg.lstsq, run beside it. Status: reference libraries.
    rng = np.random.default_rng(seed)
    x = np.sort(rng.uniform(0, 3600, 40))
    y = 150_000 - 0.02 * x + rng.normal(0, 30, 40)
    line, one = fit_line(x, y), stats().linregress(x, y)
    design = np.column_stack([np.ones(40), x])
    two, *_ = np.linalg.lstsq(design, y, rcond=None)
    assert (line.slope, line.s_slope) == pytest.approx((one.slope, one.stderr), rel=1e-8)
    assert intercept(line) == pytest.approx(one.intercept, rel=1e-8)
    assert residuals(line, x, y) == pytest.approx(y - design @ two, abs=1e-7)


def test_results_are_plain_floats() -> None:
    line = fit_line(np.array([0.0, 1.0, 2.0]), np.array([0.0, 3.0, 0.0]))
    for name in ("slope", "s_slope", "residual_sd", "x_mean", "y_mean", "ssr"):
        assert type(getattr(line, name)) is float, name
    assert type(line.n) is int
    assert type(line.dof) is int


def test_fitting_leaves_its_inputs_alone() -> None:
    x, y = np.arange(5.0), np.array([5.0, 4.0, 4.0, 2.0, 1.0])
    before = (x.copy(), y.copy())
    residuals(fit_line(x, y), x, y)
    assert (x == before[0]).all()
    assert (y == before[1]).all()


@settings(deadline=None)
@given(
    y=st.lists(st.floats(-1e3, 1e3), min_size=3, max_size=30),
    shift=st.floats(-1e3, 1e3),
    factor=st.floats(0.01, 100),
)
def test_a_zero_error_moves_the_intercept_only_and_a_scale_error_scales_all(
    y: list[float], shift: float, factor: float
) -> None:
    # Source: JCGM 100:2008 H.3 (a constant bias leaves the slope alone); linearity of least squares.
    x = list(range(len(y)))
    line = fit_line(x, y)
    other = fit_line(x, [factor * v + shift for v in y])
    assert other.slope == pytest.approx(factor * line.slope, rel=1e-7, abs=1e-7)
    assert intercept(other) == pytest.approx(factor * intercept(line) + shift, rel=1e-7, abs=1e-6)
    assert other.s_slope == pytest.approx(factor * line.s_slope, rel=1e-5, abs=1e-6)


@pytest.mark.parametrize(
    ("x", "y", "words"),
    [
        ([1, 2], [1, 2], "at least 3 points"),
        ([1, 1, 1], [1, 2, 3], "all x are equal"),
        ([1, 2, 3], [1, 2], "x has 3 values, y has 2"),
        ([1, 2, math.nan], [1, 2, 3], "x must be finite"),
        ([1, 2, 3], [1, math.inf, 3], "y must be finite"),
        ([], [], "at least 3 points"),
    ],
)
def test_what_cannot_be_fitted_is_refused(x: list[float], y: list[float], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        fit_line(x, y)


def test_residuals_of_other_readings_are_refused() -> None:
    line = fit_line([0, 1, 2], [0, 3, 0])
    with pytest.raises(ValueError, match="x has 2 values"):
        residuals(line, [0, 1], [0, 3, 0])
