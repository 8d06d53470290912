"""The uncertainty of a drop against a propagation library."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from uncertainties import ufloat

from commission.physics.drop_uncertainty import ReadingErrors, State, compensated_drop, drop_uncertainty

START = State(gauge_pa=50_000, barometer_pa=101_320, air_k=294.65)
END = State(gauge_pa=49_700, barometer_pa=101_100, air_k=294.25)
# gauge: step 1 mbar and 0.2 repeat; barometer: step 0.1 and 0.1; thermometer: step 0.1 K and 0.05 K lag
RANDOM = ReadingErrors(gauge_pa=35.1188458, barometer_pa=10.4083300, air_k=0.057735027)
ALL = ReadingErrors(
    gauge_pa=35.1188458,
    barometer_pa=10.4083300,
    air_k=0.057735027,
    gauge_gain=0.01,
    gauge_zero_pa=500.0,
    barometer_zero_pa=100.0,
    air_zero_k=0.5,
)


def test_the_hour_in_a_cooling_room() -> None:
    # Source: ideal gas. Status: computed.
    assert compensated_drop(START, END, 293.15) / 100 == pytest.approx(3.134006290, rel=1e-9)
    # Source: the library uncertainties, with every shared error. Status: computed.
    assert drop_uncertainty(START, END, ALL, 293.15) / 100 == pytest.approx(0.663680423, rel=1e-6)
    # Source: the same without shared errors, given to 5 digits. Status: computed.
    assert drop_uncertainty(START, END, RANDOM, 293.15) / 100 == pytest.approx(0.663237, rel=5e-6)


def test_the_textbook_form_with_mean_values_is_close() -> None:
    # Source: (Tr/Tm)²·[2u_pg² + 2u_pb² + 2(Pm/Tm)²u_T²], JCGM 100:2008 5.1.2 with both ends at their mean, worked
    # out here.
    mean_k, mean_pa = (294.65 + 294.25) / 2, (151_320 + 150_800) / 2
    form = (
        293.15
        / mean_k
        * math.sqrt(2 * RANDOM.gauge_pa**2 + 2 * RANDOM.barometer_pa**2 + 2 * (mean_pa / mean_k * RANDOM.air_k) ** 2)
    )
    assert drop_uncertainty(START, END, RANDOM, 293.15) == pytest.approx(form, rel=1e-5)


@pytest.mark.parametrize(
    ("errors", "share_mbar"),
    [
        (ReadingErrors(gauge_gain=0.01), 0.02313),
        (ReadingErrors(gauge_zero_pa=500.0), 0.00676),
        (ReadingErrors(barometer_zero_pa=100.0), 0.00135),
        (ReadingErrors(air_zero_k=0.5), 0.00185),
    ],
)
def test_what_both_ends_share_hardly_matters(errors: ReadingErrors, share_mbar: float) -> None:
    # Source: shares listed by the library uncertainties. Status: computed, printed to 5 decimals.
    assert drop_uncertainty(START, END, errors, 293.15) / 100 == pytest.approx(share_mbar, abs=6e-6)


states = st.builds(State, gauge_pa=st.floats(1e4, 1e5), barometer_pa=st.floats(9e4, 1.05e5), air_k=st.floats(285, 305))
errors = st.builds(
    ReadingErrors,
    gauge_pa=st.floats(1, 500),
    barometer_pa=st.floats(1, 200),
    air_k=st.floats(1e-3, 1),
    gauge_gain=st.floats(1e-4, 0.03),
    gauge_zero_pa=st.floats(1, 1000),
    barometer_zero_pa=st.floats(1, 1000),
    air_zero_k=st.floats(1e-3, 1),
)


@settings(deadline=None)
@given(states, states, errors)
def test_first_order_propagation_agrees_with_a_library(start: State, end: State, u: ReadingErrors) -> None:
    # Source: the library uncertainties on T_ref·(P1/T1 - P2/T2), run beside it. Status: reference library.
    gain, zero = ufloat(1, u.gauge_gain), ufloat(0, u.gauge_zero_pa)
    room, air = ufloat(0, u.barometer_zero_pa), ufloat(0, u.air_zero_k)

    def end_of(state: State) -> object:
        gauge = gain * state.gauge_pa + ufloat(0, u.gauge_pa) + zero
        barometer = ufloat(state.barometer_pa, u.barometer_pa) + room
        return (gauge + barometer) / (ufloat(state.air_k, u.air_k) + air)

    drop = 293.15 * (end_of(start) - end_of(end))  # type: ignore[operator]
    assert compensated_drop(start, end, 293.15) == pytest.approx(drop.nominal_value, rel=1e-9, abs=1e-6)
    assert drop_uncertainty(start, end, u, 293.15) == pytest.approx(drop.std_dev, rel=1e-6, abs=1e-9)


def test_a_negative_uncertainty_and_celsius_are_refused() -> None:
    with pytest.raises(ValueError, match="gauge_gain must be 0 or more"):
        drop_uncertainty(START, END, ReadingErrors(gauge_gain=-0.01), 293.15)
    with pytest.raises(ValueError, match="start_air_k"):
        compensated_drop(State(gauge_pa=1.0, barometer_pa=1e5, air_k=-3.0), END, 293.15)
