"""Fits with several coefficients against certified data and a reference library."""

import math

import numpy as np
import pytest

from commission.evaluate.least_squares import LeastSquares, fit_linear, fit_polynomial, fit_through_origin
from tests.data.read import expected, table
from tests.reference import least_squares


def check_certified(name: str, fit: LeastSquares, labels: list[str], rel: float) -> None:
    """Compare a fit with every certified value in the header of its file."""
    pairs = [expected(name, f"certified {label} ") for label in labels]
    assert list(fit.coefficients) == pytest.approx([b for b, _ in pairs], rel=rel)
    assert list(fit.errors) == pytest.approx([s for _, s in pairs], rel=rel)
    residual_sd, r_squared = expected(name, "certified residual_sd")
    assert fit.residual_sd == pytest.approx(residual_sd, rel=rel)
    assert fit.r_squared == pytest.approx(r_squared, rel=rel)
    anova = expected(name, "certified ANOVA")
    assert fit.dof == anova[4]
    assert fit.ssr == pytest.approx(anova[5], rel=2 * rel)


def test_the_parabola_agrees_with_nist_pontius() -> None:
    # Source: NIST StRD, Pontius, certified values in the header of the file. Status: read.
    data = table("strd_pontius")
    check_certified("strd_pontius", fit_polynomial(data["x"], data["y"], 2), ["B0", "B1", "B2"], 1e-7)


def test_the_line_through_the_origin_agrees_with_nist_noint1() -> None:
    # Source: NIST StRD, NoInt1 (R² about zero). Status: read.
    data = table("strd_noint1")
    check_certified("strd_noint1", fit_through_origin(data["x"], data["y"]), ["B1"], 1e-9)


def test_six_nearly_dependent_predictors_agree_with_nist_longley() -> None:
    # Source: NIST StRD, Longley. Status: read.
    data = table("strd_longley")
    fit = fit_linear([data[f"x{i}"] for i in range(1, 7)], data["y"])
    check_certified("strd_longley", fit, [f"B{i}" for i in range(7)], 1e-6)


def test_the_line_is_the_first_polynomial() -> None:
    # Source: NIST StRD, Norris. Status: read.
    data = table("strd_norris")
    check_certified("strd_norris", fit_polynomial(data["x"], data["y"], 1), ["B0", "B1"], 1e-9)


def test_noise_that_lasts_fakes_a_curve() -> None:
    # Source: statsmodels on the hour-long table, t of the square term -3.83 although the truth is a straight line.
    # Status: computed.
    data = table("hold1h_ar1_oracle")
    fit = fit_polynomial(data["t_s"], data["p_comp_mbar"], 2)
    assert fit.t(2) == pytest.approx(-3.83, abs=0.005)
    far = fit_polynomial([1_764_000_000 + t for t in data["t_s"]], data["p_comp_mbar"], 2)
    assert far.t(2) == pytest.approx(fit.t(2), rel=1e-6)


def test_drift_temperature_and_barometer_agree_with_a_reference_library() -> None:
    # Source: statsmodels.OLS, run beside it. Status: reference library.
    rng = np.random.default_rng(7)
    t = np.arange(60.0) * 60
    air = 293 + np.sin(t / 900) + rng.normal(0, 0.05, 60)
    barometer = 101_325 + rng.normal(0, 30, 60).cumsum()
    y = 50_000 - 0.02 * t + 510 * (air - 293) - (barometer - 101_325) + rng.normal(0, 20, 60)
    fit = fit_linear([t, air, barometer], y)
    other = least_squares(y, np.column_stack([t, air, barometer])).fit()
    assert list(fit.coefficients) == pytest.approx(list(other.params), rel=1e-6)
    assert list(fit.errors) == pytest.approx(list(other.bse), rel=1e-6)
    assert fit.covariance[1][2] == pytest.approx(other.cov_params()[1, 2], rel=1e-6)
    assert fit.r_squared == pytest.approx(other.rsquared, rel=1e-9)


def test_an_exact_fit_has_an_infinite_t_and_a_tight_loop_none() -> None:
    still = fit_polynomial([0, 1, 2, 3], [5, 5, 5, 5], 1)
    assert still.t(1) == 0.0
    assert still.r_squared == 0.0
    exact = fit_through_origin([1, 2, 4], [2, 4, 8])
    assert exact.t(0) == math.inf or exact.t(0) > 1e12


def test_the_share_explained_does_not_depend_on_the_unit() -> None:
    # Source: NIST StRD, Norris, R² certified; y and x divided by 1e6.
    data = table("strd_norris")
    fit = fit_polynomial([v / 1e6 for v in data["x"]], [v / 1e6 for v in data["y"]], 1)
    assert fit.r_squared == pytest.approx(expected("strd_norris", "certified residual_sd")[1], rel=1e-9)


def test_results_are_plain_floats() -> None:
    fit = fit_polynomial([0, 1, 2, 3, 4], [1, 2, 7, 16, 30], 2)
    numbers = [*fit.coefficients, *fit.errors, *fit.covariance[0], fit.residual_sd, fit.ssr, fit.r_squared]
    assert {type(number) for number in numbers} == {float}


@pytest.mark.parametrize(
    ("predictors", "y", "words"),
    [
        ([], [1, 2, 3], "one or more predictors"),
        ([[1, 2]], [1, 2, 3], "one or more predictors"),
        ([[1, 2]], [1, 2], "need more than 2 points"),
        ([[1, 1, 1, 1]], [1, 2, 3, 4], "does not vary"),
        ([[1, 2, 3, 5], [2, 4, 6, 10]], [1, 2, 3, 4], "combination of the others"),
        ([[1, math.nan, 3]], [1, 2, 3], "x1 must be finite"),
    ],
)
def test_what_cannot_be_fitted_is_refused(predictors: list[list[float]], y: list[float], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        fit_linear(predictors, y)


@pytest.mark.parametrize("degree", [0, 7])
def test_a_silly_degree_is_refused(degree: int) -> None:
    with pytest.raises(ValueError, match="degree must be 1 to 6"):
        fit_polynomial(range(20), range(20), degree)
