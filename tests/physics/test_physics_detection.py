"""What a hold can detect, against worked figures and a table computed elsewhere."""

import math
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.physics.detection import (
    hold_time_by_steps,
    planned_slope_error,
    rectangular_uncertainty,
    resolution_uncertainty,
    smallest_detectable,
)
from commission.physics.gas import pressure_sensitivity
from tests.data.read import table

Z95 = NormalDist().inv_cdf(0.95)


def test_a_scale_that_shows_whole_grams_is_known_to_0_29_gram() -> None:
    # Source: JCGM 100:2008, F.2.2.1. Status: read.
    assert f"{resolution_uncertainty(1.0):.2f}" == "0.29"


def test_a_coefficient_within_0_40_is_known_to_0_23() -> None:
    # Source: JCGM 100:2008, 4.3.7, example of the thermal coefficient of copper. Status: memory.
    assert f"{rectangular_uncertainty(0.40):.2f}" == "0.23"
    assert rectangular_uncertainty(0.5) == pytest.approx(resolution_uncertainty(1.0), rel=1e-15)


def test_what_an_hour_detects() -> None:
    # Source: Currie's form (from memory), 1.2 L, u 66.3237 Pa by the library uncertainties (given to 6 digits).
    # Status: computed.
    width = Z95 * 66.3237
    assert smallest_detectable(width, width, 1.2e-3, 3600) * 10 == pytest.approx(7.27287345e-4, rel=1e-5)


def test_what_grows_with_the_leak_makes_the_smallest_leak_larger() -> None:
    # Source: the equation that it solves, written out: Q·t/V = w + √(w² + (g·Q·t/V)²), for equal half-widths.
    width, growth = 100.0, 0.3
    fall = smallest_detectable(width, width, 1.0, 1.0, growth=growth)
    assert fall == pytest.approx(width + math.hypot(width, growth * fall), rel=1e-12)


def test_the_ten_to_one_rule_for_the_display() -> None:
    # Source: ASTM E2930-13(R2021), resolution ten times finer. Status: ratio read, 12 000 s computed.
    assert hold_time_by_steps(100, 1.2e-3, 1e-4) == pytest.approx(12_000, rel=1e-12)


def test_the_slope_error_that_61_readings_will_have() -> None:
    # Source: closed form = numpy, s 0.3 mbar, an hour. Status: computed.
    assert planned_slope_error(0.3, 61, 3600) == pytest.approx(3.63600306e-5, rel=1e-8)


@pytest.mark.parametrize("n", [2, 3, 10, 61, 1000])
def test_the_planned_slope_error_agrees_with_the_spacing_itself(n: int) -> None:
    # Source: numpy, s/√Σ(t - t̄)² over equally spaced readings.
    t = np.linspace(0, 3600, n)
    assert planned_slope_error(0.3, n, 3600) == pytest.approx(0.3 / math.sqrt(((t - t.mean()) ** 2).sum()))


def test_the_whole_detection_table() -> None:
    # Source: table computed from its formula, rounded to 4 digits. Status: computed.
    columns = table("detection_limits")
    rows = [dict(zip(columns, row, strict=True)) for row in zip(*columns.values(), strict=True)]
    assert len(rows) == 36
    per_k = pressure_sensitivity(151_300, 293.15)
    for row in rows:
        room_pa = math.sqrt(2) * math.hypot(10.0, per_k * row["u_T_K"])
        u_pa = math.hypot(rectangular_uncertainty(100 * row["a_mbar"]), room_pa)
        assert u_pa / 100 == pytest.approx(row["u_drop_mbar"], rel=1e-3)
        found = smallest_detectable(Z95 * u_pa, Z95 * u_pa, row["V_L"] * 1e-3, row["hold_s"]) * 10
        assert found == pytest.approx(row["QD_mbar_L_per_s"], rel=6e-4)


@settings(deadline=None)
@given(st.floats(1, 500), st.floats(1, 500), st.floats(1e-4, 1e-2), st.floats(60, 1e5), st.floats(0, 0.9))
def test_a_longer_hold_finds_less_and_what_grows_makes_it_find_no_less(
    alarm: float, miss: float, volume: float, time: float, growth: float
) -> None:
    found = smallest_detectable(alarm, miss, volume, time)
    assert smallest_detectable(alarm, miss, volume, 2 * time) == pytest.approx(found / 2, rel=1e-12)
    assert smallest_detectable(miss, alarm, volume, time) == pytest.approx(found, rel=1e-12)
    assert smallest_detectable(alarm, miss, volume, time, growth=growth) >= found


def test_impossible_figures_are_refused() -> None:
    with pytest.raises(ValueError, match="at least 2 readings"):
        planned_slope_error(1.0, 1, 60)
    with pytest.raises(ValueError, match="limit_pa_m3_s"):
        hold_time_by_steps(1.0, 1e-3, 0.0)
