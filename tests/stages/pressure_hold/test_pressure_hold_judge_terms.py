"""What instruments leave open about a drop, against a propagation library, and the viscous time against its law."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from uncertainties import ufloat

from commission.physics.leak import leak_rate, viscous_pressure
from commission.stages.pressure_hold.judge.fit import viscous_time
from commission.stages.pressure_hold.judge.part import select
from commission.stages.pressure_hold.judge.series import as_arrays, columns
from commission.stages.pressure_hold.judge.terms import TRACKING_K, WEATHER_BEND_PA_PER_H, Terms
from commission.stages.pressure_hold.judge.variants import variants
from tests.stages.pressure_hold.hold_makers import EXACT, series

REFERENCE_K = EXACT.reference_k


def terms_of_two(gauge: tuple[float, float], barometer: tuple[float, float], air: tuple[float, float]) -> Terms:
    """Return the terms of a hold of an hour with a reading at the start and one at the end."""
    seen = columns(as_arrays(series([0.0, 3600.0], gauge, air, barometer)), EXACT)
    return variants(select(seen, EXACT, 0.0))[0].parts


@settings(deadline=None, max_examples=30)
@given(st.floats(2e4, 1e5), st.floats(9e4, 1.05e5), st.floats(285, 305), st.floats(-300, 300), st.floats(-1, 1))
def test_the_terms_of_two_readings_agree_with_a_propagation_library(
    gauge: float, room: float, air: float, fell: float, warmer: float
) -> None:
    # Source: the library uncertainties on T_ref·(P1/T1 - P2/T2). A step on the drop is spread evenly by one step either
    # way (JCGM 100:2008, 4.3.7), half of its variance at each end; gas and thermometer differ on their own at each end.
    parts = terms_of_two((gauge, gauge - fell), (room, room), (air, air + warmer))

    def end(gauge_pa: float, air_k: float) -> object:
        shown = ufloat(gauge_pa, EXACT.gauge_step_pa / math.sqrt(6))
        barometer = ufloat(room, math.hypot(10.0 / math.sqrt(3), WEATHER_BEND_PA_PER_H) / math.sqrt(2))
        return (shown + barometer) / ufloat(air_k, math.hypot(0.1 / math.sqrt(6), TRACKING_K))

    drop = REFERENCE_K * (end(gauge, air) - end(gauge - fell, air + warmer))  # type: ignore[operator]
    # the terms take both ends at their mean temperature, which is a few kelvin in 300 from either
    assert parts.fixed_pa() == pytest.approx(drop.std_dev, rel=0.01)


@settings(deadline=None)
@given(st.floats(1e3, 2e5), st.floats(1e-8, 1e-2), st.floats(3e-4, 4e-3), st.floats(60, 1e5))
def test_the_start_rate_comes_back_from_the_viscous_time_of_two_pressures(
    gauge: float, rate: float, volume: float, seconds: float
) -> None:
    # Source: the closed solution of viscous flow (``viscous_pressure``, checked by mpmath and an integrator).
    start, outside = 101_325 + gauge, 101_325.0
    end = viscous_pressure(start, outside, rate, volume, seconds)
    if end - outside > 1e-3 * gauge:  # below that the end pressure has no digits left above the barometer
        felt = viscous_time(np.array([0.0, seconds]), np.array([start, end]), np.full(2, outside), 1.0)
        back = leak_rate(volume, start - end, float(felt[-1]))
        assert back == pytest.approx(rate, rel=1e-6, abs=1e-9 * volume * start / seconds)
