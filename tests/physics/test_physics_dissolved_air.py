"""Dissolved air against the IAPWS guideline, its library, and measured solubilities."""

import math
from importlib import import_module

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.physics.dissolved_air import AirGas, air_released, dissolved_air, henry_constant

STP_M3_MOL = 22.41396954e-3  # Source: CODATA 2018, molar volume at 273.15 K and 101.325 kPa.
CODES = {AirGas.NITROGEN: "N2", AirGas.OXYGEN: "O2", AirGas.ARGON: "Ar"}


@pytest.mark.parametrize(
    ("gas", "log"), [(AirGas.NITROGEN, 2.171558), (AirGas.OXYGEN, 1.502429), (AirGas.ARGON, 1.406115)]
)
def test_the_check_values_at_three_hundred_kelvin(gas: AirGas, log: float) -> None:
    # Source: IAPWS G7-04, ln(k_H/GPa), digits with iapws 1.5.5. Status: read and computed.
    assert math.log(henry_constant(gas, 300.0) / 1e9) == pytest.approx(log, rel=1e-5)


@settings(deadline=None, max_examples=40)
@given(st.sampled_from(AirGas), st.floats(278.2, 373.0))
def test_any_temperature_agrees_with_the_library(gas: AirGas, kelvin: float) -> None:
    # Source: iapws 1.5.5, G7-04. Status: reference library.
    henry = import_module("iapws._iapws")._Henry
    assert henry_constant(gas, kelvin) / 1e6 == pytest.approx(henry(kelvin, CODES[gas]), rel=1e-9)


@pytest.mark.parametrize(
    ("celsius", "guideline", "measured"),
    [
        (10, 22.809, 22.734),
        (20, 18.793, 18.354),
        (25, 17.244, 16.852),
        (30, 15.914, 15.429),
        (40, 13.719, 13.151),
        (50, 11.898, 11.419),
        (60, 10.206, None),
    ],
)
def test_the_air_in_a_litre_of_water(celsius: float, guideline: float, measured: float | None) -> None:
    # Source: G7-04 with iapws (computed), NBS J. Res. 77A (1973) 133, Table 3 (read, converted), at 101.325 kPa.
    held = dissolved_air(celsius + 273.15) * STP_M3_MOL * 1e3
    assert held == pytest.approx(guideline, rel=1e-3)
    assert measured is None or held == pytest.approx(measured, rel=0.05)


def test_warm_water_under_pressure_keeps_its_air() -> None:
    # Source: G7-04 with iapws, 60 °C at 50 kPa gauge: 16.476 mL (0 °C, 1 atm) a litre. Status: computed.
    assert dissolved_air(333.15, 151_325) * STP_M3_MOL * 1e3 == pytest.approx(16.476, rel=2e-3)
    assert air_released(1e-3, 293.15, 333.15, to_pa=151_325) < 0.35 * air_released(1e-3, 293.15, 333.15)


@pytest.mark.parametrize(("hot", "millilitres"), [(60, 9.216), (40, 5.445)])
def test_what_comes_out_on_the_first_warming(hot: float, millilitres: float) -> None:
    # Source: G7-04 with iapws, 1 L from 20 °C, as gas at 20 °C. Status: computed; ±5 % (NBS data lie there).
    assert air_released(1e-3, 293.15, hot + 273.15) * 1e6 == pytest.approx(millilitres, rel=0.05)


@settings(deadline=None)
@given(st.floats(278.2, 370.0), st.floats(0.1, 3.0), st.floats(1.02e5, 3e5))
def test_colder_and_pressed_water_holds_more(kelvin: float, step: float, pressure: float) -> None:
    # Source: Henry's law; below the boiling point.
    assert dissolved_air(kelvin, pressure + 1e4) > dissolved_air(kelvin, pressure)
    assert dissolved_air(kelvin, pressure) > dissolved_air(kelvin + step, pressure)


def test_cooling_releases_nothing() -> None:
    assert air_released(1e-3, 313.15, 293.15) == 0
    assert air_released(0.0, 293.15, 333.15) == 0


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: henry_constant(AirGas.OXYGEN, 275.0), "temperature_k must be between 278.15"),
        (lambda: dissolved_air(373.15, 1e5), "pressure_above_vapour must be above 0"),
        (lambda: air_released(-1e-3, 293.15, 313.15), "liquid_m3 must be 0 or more"),
        (lambda: dissolved_air(float("nan")), "must be a finite number"),
    ],
)
def test_what_the_guideline_does_not_cover_is_refused(call: object, words: str) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match=words):
        call()
