"""What a hold can detect, against worked figures and a table computed elsewhere."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from uncertainties import ufloat

from commission.physics.detection import (
    decision_limit,
    hold_time_by_steps,
    hold_time_needed,
    leak_rate_uncertainty,
    planned_slope_error,
    resolution_uncertainty,
    smallest_detectable,
)
from commission.physics.drop_uncertainty import ReadingErrors, State, drop_uncertainty
from commission.physics.loop_volume import Uncertain
from tests.data.read import table


def u_of_the_hour() -> float:
    """Return u of the drop from 500.0, 1013.2 mbar, 21.5 °C to 497.0, 1011.0, 21.1, without shared errors [Pa].

    Source: the library uncertainties: gauge 35.1188458 Pa, barometer 10.40833 Pa, thermometer 0.057735027 K.
    """
    gauge = [ufloat(value, 35.1188458) for value in (50_000, 49_700)]
    room = [ufloat(value, 10.4083300) for value in (101_320, 101_100)]
    air = [ufloat(value, 0.057735027) for value in (294.65, 294.25)]
    start, end = ((g + b) / t for g, b, t in zip(gauge, room, air, strict=True))
    return float((293.15 * (start - end)).std_dev)


U0_PA = u_of_the_hour()


def test_a_scale_that_shows_whole_grams_is_known_to_0_29_gram() -> None:
    # Source: JCGM 100:2008, F.2.2.1. Status: read.
    assert f"{resolution_uncertainty(1.0):.2f}" == "0.29"


def test_the_hour_in_a_cooling_room_with_its_volume() -> None:
    # Source: the library uncertainties, 1.20(3) L, drop 3.134006290 mbar, 3600 s. Status: computed.
    rate = leak_rate_uncertainty(Uncertain(1.2e-3, 0.03e-3), Uncertain(313.4006290, U0_PA), 3600)
    assert rate.value * 10 == pytest.approx(1.04466876e-3, rel=1e-8)
    assert rate.u * 10 == pytest.approx(2.22616929e-4, rel=1e-6)
    assert (rate.value + 1.644853627 * rate.u) * 10 == pytest.approx(1.41084103e-3, rel=1e-6)


def test_what_an_hour_detects() -> None:
    # Source: Currie's form (from memory), 1.2 L. Status: computed.
    assert decision_limit(U0_PA, 1.2e-3, 3600) * 10 == pytest.approx(3.63643672e-4, rel=1e-6)
    assert smallest_detectable(U0_PA, 1.2e-3, 3600) * 10 == pytest.approx(7.27287345e-4, rel=1e-6)


def test_how_long_a_hold_must_be() -> None:
    # Source: 3.29·V·u/Q for 1e-3 mbar·L/s. Status: computed.
    assert hold_time_needed(U0_PA, 1.2e-3, 1e-4) == pytest.approx(2618.234, rel=1e-5)


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
    state = State(gauge_pa=50_000, barometer_pa=101_300, air_k=293.15)
    for row in rows:
        errors = ReadingErrors(barometer_pa=10.0, air_k=row["u_T_K"])
        u_pa = math.hypot(100 * row["a_mbar"] / math.sqrt(3), drop_uncertainty(state, state, errors, 293.15))
        assert u_pa / 100 == pytest.approx(row["u_drop_mbar"], rel=1e-3)
        found = smallest_detectable(u_pa, row["V_L"] * 1e-3, row["hold_s"]) * 10
        assert found == pytest.approx(row["QD_mbar_L_per_s"], rel=6e-4)


@settings(deadline=None)
@given(st.floats(1, 500), st.floats(1e-4, 1e-2), st.floats(1e-6, 1e-2), st.floats(0.6, 0.999))
def test_the_needed_time_is_just_enough(u: float, volume: float, limit: float, confidence: float) -> None:
    needed = hold_time_needed(u, volume, limit, confidence)
    assert smallest_detectable(u, volume, needed, confidence) == pytest.approx(limit, rel=1e-9)
    assert smallest_detectable(u, volume, 2 * needed, confidence) < limit


@settings(deadline=None)
@given(st.floats(-1e3, 1e3), st.floats(0, 100), st.floats(0, 1e-4))
def test_an_uncertain_volume_matters_less_the_smaller_the_drop(drop: float, u: float, u_volume: float) -> None:
    rate = leak_rate_uncertainty(Uncertain(1e-3, u_volume), Uncertain(drop, u), 1000)
    floor = leak_rate_uncertainty(Uncertain(1e-3, u_volume), Uncertain(0.0, u), 1000)
    assert floor.u == pytest.approx(1e-3 * u / 1000, rel=1e-12)
    assert rate.u >= floor.u


def test_impossible_figures_are_refused() -> None:
    with pytest.raises(ValueError, match="confidence"):
        decision_limit(1.0, 1e-3, 60, 1.0)
    with pytest.raises(ValueError, match="confidence"):
        decision_limit(1.0, 1e-3, 60, 0.499)
    assert decision_limit(1.0, 1e-3, 60, 0.5) == 0.0
    with pytest.raises(ValueError, match="at least 2 readings"):
        planned_slope_error(1.0, 1, 60)
    with pytest.raises(ValueError, match="u_drop_pa"):
        leak_rate_uncertainty(Uncertain(1e-3), Uncertain(1.0, -1.0), 60)
    with pytest.raises(ValueError, match="limit_pa_m3_s"):
        hold_time_needed(1.0, 1e-3, 0.0)
