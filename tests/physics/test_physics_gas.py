"""Pressure, temperature and amount of gas against published figures and hand calculation."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.physics.gas import (
    MOLAR_GAS_CONSTANT,
    absolute_pressure,
    compensated_pressure,
    pressure_change,
    pressure_sensitivity,
)

PSI_PA = 6894.757293168  # Source: NIST SP 811, pound-force per square inch. Status: memory.
kelvin = st.floats(250, 350)
pascal = st.floats(5e4, 5e5)


def test_a_degree_at_500_psi_is_worth_about_1_psi_per_fahrenheit() -> None:
    # Source: ASHRAE Journal, January 2021, p. 40, "about 1 psi per 1 F at 500 psig". Status: read, digits computed
    # 514.696/529.67.
    per_kelvin = pressure_sensitivity(514.696 * PSI_PA, 529.67 * 5 / 9)
    assert per_kelvin / PSI_PA * 5 / 9 == pytest.approx(0.971730, rel=1e-5)
    assert pressure_change(514.696, 529.67, 1.0) == pytest.approx(0.971730, rel=1e-5)


@pytest.mark.parametrize(("gauge_mbar", "mbar_per_k"), [(200, 4.138666), (500, 5.162033), (1000, 6.867645)])
def test_a_degree_in_a_loop_is_worth_some_millibar(gauge_mbar: float, mbar_per_k: float) -> None:
    # Source: P/T at 293.15 K, barometer 1013.25 mbar. Status: computed.
    pressure = absolute_pressure(gauge_mbar * 100, 101_325)
    assert pressure_sensitivity(pressure, 293.15) / 100 == pytest.approx(mbar_per_k, rel=1e-6)


def test_a_tight_loop_in_a_cooling_room_only_looks_leaky() -> None:
    # Source: ideal gas, 500 mbar gauge, 1015 mbar, 22.0 °C to 1008 mbar, 20.5 °C. Status: computed.
    start = absolute_pressure(50_000, 101_500)
    end = absolute_pressure(49_930.05251567, 100_800)
    drop = compensated_pressure(start, 295.15, 293.15) - compensated_pressure(end, 293.65, 293.15)
    assert drop / 100 == pytest.approx(0, abs=1e-6)


def test_a_warming_room_hides_a_leak_of_6_mbar() -> None:
    # Source: ideal gas, 500 mbar gauge, 1013 mbar, 20.0 °C to 500.1688556 mbar, 21.2 °C. Status: computed.
    start = absolute_pressure(50_000, 101_300)
    end = absolute_pressure(50_016.88556, 101_300)
    drop = compensated_pressure(start, 293.15, 293.15) - compensated_pressure(end, 294.35, 293.15)
    assert drop / 100 == pytest.approx(6, abs=1e-6)


def test_a_falling_barometer_is_not_a_leak() -> None:
    # Source: definition of gauge pressure: the vented gauge rises by what the barometer falls.
    assert absolute_pressure(50_000, 101_300) == absolute_pressure(50_700, 100_600)


def test_the_gas_constant_is_that_of_codata() -> None:
    # Source: CODATA 2018: Boltzmann 1.380649e-23 J/K times Avogadro 6.02214076e23 1/mol, both exact.
    assert pytest.approx(1.380649e-23 * 6.02214076e23, rel=1e-15) == MOLAR_GAS_CONSTANT


@settings(deadline=None)
@given(pascal, kelvin, kelvin, kelvin)
def test_compensation_there_and_back_changes_nothing(p: float, t: float, ref_a: float, ref_b: float) -> None:
    once = compensated_pressure(compensated_pressure(p, t, ref_a), ref_a, ref_b)
    assert once == pytest.approx(compensated_pressure(p, t, ref_b), rel=1e-12)
    assert compensated_pressure(p, t, t) == p


@settings(deadline=None)
@given(pascal, kelvin, st.floats(-30, 30))
def test_enclosed_gas_that_warms_keeps_its_compensated_pressure(p: float, t: float, warmer: float) -> None:
    other = p + pressure_change(p, t, warmer)
    assert other == pytest.approx(p + pressure_sensitivity(p, t) * warmer, rel=1e-15)
    assert compensated_pressure(other, t + warmer, 293.15) == pytest.approx(
        compensated_pressure(p, t, 293.15), rel=1e-12
    )


def test_an_array_goes_through_the_same_lines_as_a_float() -> None:
    gauge, barometer = np.array([50_000.0, 49_700.0]), np.array([101_320.0, 101_100.0])
    warm = np.array([294.65, 294.25])
    pressure = absolute_pressure(gauge, barometer)
    together = compensated_pressure(pressure, warm, 293.15)
    for n in range(2):
        alone = absolute_pressure(float(gauge[n]), float(barometer[n]))
        assert pressure[n] == alone
        assert together[n] == compensated_pressure(alone, float(warm[n]), 293.15)
        assert pressure_sensitivity(pressure, warm)[n] == pressure_sensitivity(alone, float(warm[n]))
