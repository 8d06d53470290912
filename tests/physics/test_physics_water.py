"""Water against IAPWS check values and two reference libraries."""

from importlib import import_module

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.physics import water
from tests.reference import coolprop, iapws95


@pytest.mark.parametrize(
    ("celsius", "kg_m3", "mpa_s", "j_kg_k", "kpa"),
    [
        (20, 998.2072, 1.00160, 4184.05, 2.33932),
        (40, 992.2164, 0.652729, 4179.41, 7.38494),
        (60, 983.1958, 0.466035, 4184.95, 19.94643),
    ],
)
def test_the_table_of_water(celsius: float, kg_m3: float, mpa_s: float, j_kg_k: float, kpa: float) -> None:
    # Source: IAPWS-95, R12-08 at 101.325 kPa with iapws and CoolProp, which agree. Status: computed.
    kelvin = celsius + 273.15
    assert water.density(kelvin) == pytest.approx(kg_m3, abs=0.01)
    assert water.viscosity(kelvin) * 1e3 == pytest.approx(mpa_s, rel=5e-4)
    assert water.heat_capacity(kelvin) == pytest.approx(j_kg_k, abs=0.5)
    assert water.saturation_pressure(kelvin) / 1e3 == pytest.approx(kpa, rel=2e-4)


def test_the_check_values_of_the_release_on_liquid_water() -> None:
    # Source: IAPWS SR6-08, check values at 298.15 K, as printed in the docstring of iapws. Status: read and computed.
    assert water.density(298.15) == pytest.approx(997.047013, rel=1e-8)
    assert water.viscosity(298.15) * 1e6 == pytest.approx(889.996773679, rel=1e-8)


@settings(deadline=None, max_examples=40)
@given(st.floats(273.2, 373.0))
def test_every_temperature_agrees_with_the_library_of_the_releases(kelvin: float) -> None:
    # Source: iapws 1.5.5, the function of SR6-08. Status: reference library.
    liquid = import_module("iapws._iapws")._Liquid(kelvin)
    assert water.density(kelvin) == pytest.approx(liquid["rho"], rel=1e-9)
    assert water.heat_capacity(kelvin) == pytest.approx(liquid["cp"] * 1e3, rel=1e-9)
    assert water.viscosity(kelvin) == pytest.approx(liquid["mu"], rel=1e-9)


@pytest.mark.parametrize("celsius", [1, 10, 25, 33, 50, 75, 99])
def test_another_equation_of_state_agrees(celsius: float) -> None:
    # Source: iapws 1.5.5, IAPWS-95 at 101.325 kPa and just before it boils. Status: reference library.
    kelvin = celsius + 273.15
    cold, boiling = iapws95(T=kelvin, P=0.101325), iapws95(T=kelvin, x=0)
    assert water.density(kelvin) == pytest.approx(cold.rho, abs=0.01)
    assert water.heat_capacity(kelvin) == pytest.approx(cold.cp * 1e3, rel=2e-4)
    assert water.viscosity(kelvin) == pytest.approx(cold.mu, rel=2e-3)
    assert water.saturation_pressure(kelvin) == pytest.approx(boiling.P * 1e6, rel=2e-4)


@pytest.mark.parametrize("celsius", [1, 20, 60, 99])
def test_another_library_with_the_industrial_formulation_agrees(celsius: float) -> None:
    # Source: CoolProp 8.0.0, IAPWS-IF97 at 101.325 kPa, which is fitted to IAPWS-95. Status: reference library.
    kelvin = celsius + 273.15
    assert water.density(kelvin) == pytest.approx(coolprop("D", "T", kelvin, "P", 101_325, "IF97::Water"), rel=5e-5)
    assert water.saturation_pressure(kelvin) == pytest.approx(
        coolprop("P", "T", kelvin, "Q", 0, "IF97::Water"), rel=2e-4
    )


def test_water_is_densest_at_four_degrees() -> None:
    # Source: IAPWS-95, temperature of maximum density 3.98 °C. Status: memory.
    densest = max(range(0, 1000), key=lambda tenth: water.density(273.15 + tenth / 100))
    assert densest / 100 == pytest.approx(3.98, abs=0.02)


def test_the_compressibility_is_that_of_the_library() -> None:
    # Source: iapws 1.5.5, IAPWS-95 at 20 °C and 0.1 MPa. Status: reference library.
    state = iapws95(T=293.15, P=0.1)
    assert state.kappa / 1e6 == pytest.approx(water.COMPRESSIBILITY_PER_PA, rel=1e-4)


@pytest.mark.parametrize("kelvin", [273.1, 373.2, 20.0, float("nan"), float("inf"), -1.0])
def test_ice_and_steam_are_refused_not_extrapolated(kelvin: float) -> None:
    for formula in (water.density, water.heat_capacity, water.viscosity, water.saturation_pressure):
        with pytest.raises(ValueError, match=r"^temperature_k must be [^\n]+$"):
            formula(kelvin)
