"""Every unit that may be typed, held against published factors, against pint, and against scipy's constants.

Sources of the literals:

* NIST SP 811 (2008), appendix B.8: factors to seven digits, exact ones marked there in bold. Typed from memory of the
  table; the other two sources guard against a slip.
* Exact by definition: SI Brochure 9th ed. for the litre, minute, hour, day and 0 °C = 273.15 K; the yard and pound
  agreement of 1959 for the inch (25.4 mm) and the pound (0.45359237 kg); the Weights and Measures Act 1985 for the
  imperial gallon (4.54609 L, 160 fluid ounces); 231 cubic inches for the US gallon (128 fluid ounces).
"""

import math

import pytest

from commission.base.quantity import Quantity
from commission.units.lookup import find_unit
from commission.units.registry import pint_scale, registry, scale
from commission.units.tables import BY_SPELLING, UNITS

SP811 = 5e-7
"""The seven printed digits of SP 811 B.8."""
EXACT = 1e-15

PRESSURE = {
    "mbar": (100.0, EXACT),
    "bar": (1e5, EXACT),
    "Pa": (1.0, EXACT),
    "hPa": (100.0, EXACT),
    "kPa": (1000.0, EXACT),
    "MPa": (1e6, EXACT),
    "psi": (6.894757e3, SP811),
    "atm": (101325.0, EXACT),
    "inHg": (3.386389e3, SP811),
    "mmHg": (1.333224e2, SP811),
    "mmH2O": (9.80665, SP811),
    "cmH2O": (9.80665e1, SP811),
    "inH2O": (2.490889e2, SP811),
}
VOLUME = {
    "L": (1e-3, EXACT),
    "mL": (1e-6, EXACT),
    "cm³": (1e-6, EXACT),
    "mm³": (1e-9, EXACT),
    "m³": (1.0, EXACT),
    "in³": (1.638706e-5, SP811),
    "US fl oz": (2.957353e-5, SP811),
    "imp fl oz": (2.841306e-5, SP811),
    "US gal": (3.785412e-3, SP811),
    "imp gal": (4.54609e-3, EXACT),
}
DURATION = {"s": (1.0, EXACT), "min": (60.0, EXACT), "h": (3600.0, EXACT), "d": (86400.0, EXACT)}
DIFFERENCE = {"K": (1.0, EXACT), "°C": (1.0, EXACT), "°F": (5.555556e-1, SP811)}
PUBLISHED = {
    Quantity.GAUGE_PRESSURE: PRESSURE,
    Quantity.ABSOLUTE_PRESSURE: PRESSURE,
    Quantity.PRESSURE_DIFFERENCE: PRESSURE,
    Quantity.TEMPERATURE: DIFFERENCE,
    Quantity.TEMPERATURE_DIFFERENCE: DIFFERENCE,
    Quantity.VOLUME: VOLUME,
    Quantity.LENGTH: {
        "mm": (1e-3, EXACT),
        "cm": (1e-2, EXACT),
        "m": (1.0, EXACT),
        "in": (2.54e-2, EXACT),
        "ft": (3.048e-1, EXACT),
    },
    Quantity.DURATION: DURATION,
    Quantity.LEAK_RATE: {
        f"{p}·{v}/{t}": (PRESSURE[p][0] * VOLUME[v][0] / DURATION[t][0], 4 * EXACT)
        for p in ("mbar", "bar", "Pa", "hPa", "kPa", "atm")
        for v in ("L", "mL", "cm³", "m³")
        for t in ("s", "min", "h")
    },
    Quantity.ENERGY: {"J": (1.0, EXACT), "kJ": (1000.0, EXACT), "Wh": (3.6e3, EXACT)},
    Quantity.MASS: {
        "g": (1e-3, EXACT),
        "kg": (1.0, EXACT),
        "mg": (1e-6, EXACT),
        "oz": (2.834952e-2, SP811),
        "lb": (4.535924e-1, SP811),
    },
    Quantity.DENSITY: {"g/mL": (1e3, EXACT), "g/cm³": (1e3, EXACT), "kg/L": (1e3, EXACT), "kg/m³": (1.0, EXACT)},
    Quantity.RATIO: {"%": (0.01, EXACT)},
    Quantity.FLOW: {
        "L/h": (1e-3 / 3600, EXACT),
        "L/min": (1e-3 / 60, EXACT),
        "mL/s": (1e-6, EXACT),
        "m³/h": (1 / 3600, EXACT),
        "US gal/min": (6.309020e-5, SP811),
    },
    Quantity.POWER: {"W": (1.0, EXACT), "kW": (1e3, EXACT)},
}
SI_UNIT: dict[Quantity, str] = {
    Quantity.GAUGE_PRESSURE: "Pa",
    Quantity.ABSOLUTE_PRESSURE: "Pa",
    Quantity.PRESSURE_DIFFERENCE: "Pa",
    Quantity.TEMPERATURE: "K",
    Quantity.TEMPERATURE_DIFFERENCE: "K",
    Quantity.VOLUME: "m3",
    Quantity.LENGTH: "m",
    Quantity.DURATION: "s",
    Quantity.LEAK_RATE: "Pa·m3/s",
    Quantity.ENERGY: "J",
    Quantity.MASS: "kg",
    Quantity.DENSITY: "kg/m3",
    Quantity.RATIO: "1",
    Quantity.FLOW: "m3/s",
    Quantity.POWER: "W",
}
"""The SI unit in which each quantity is held inside the program."""


def test_every_unit_has_a_published_factor() -> None:
    assert {q: {u.symbol for u in UNITS[q]} for q in Quantity} == {q: set(PUBLISHED[q]) for q in Quantity}


@pytest.mark.parametrize("quantity", Quantity)
def test_each_unit_has_its_published_factor(quantity: Quantity) -> None:
    for unit in UNITS[quantity]:
        factor, tolerance = PUBLISHED[quantity][unit.symbol]
        assert scale(unit)[0] == pytest.approx(factor, rel=tolerance), unit.symbol


@pytest.mark.parametrize("quantity", Quantity)
def test_each_unit_agrees_with_pint(quantity: Quantity) -> None:
    si = SI_UNIT[quantity].replace("·", "*").replace("m3", "m**3")
    for unit in UNITS[quantity]:
        factor, zero = pint_scale(unit.expression)
        assert scale(unit)[0] == pytest.approx(factor, rel=4e-13), unit.symbol  # °F: pint's rounding of two offsets
        assert scale(unit)[1] == pytest.approx(zero, rel=1e-14, abs=1e-300), unit.symbol
        assert registry().Unit(unit.expression).is_compatible_with(si), unit.symbol


@pytest.mark.parametrize(
    ("symbol", "quantity", "celsius_zero"),
    [
        # Fixed points: SI Brochure 9th ed. 2.3.1; 32 °F is 0 °C and 212 °F is 100 °C by definition of the scale.
        ("°C", Quantity.TEMPERATURE, 0.0),
        ("°F", Quantity.TEMPERATURE, 32.0),
        ("K", Quantity.TEMPERATURE, 273.15),
    ],
)
def test_the_ice_point_is_the_same_on_every_scale(symbol: str, quantity: Quantity, celsius_zero: float) -> None:
    factor, zero = scale(find_unit(symbol, quantity))
    assert celsius_zero * factor + zero == pytest.approx(273.15, abs=1e-10)


def test_scipy_has_the_same_constants() -> None:
    from scipy import constants

    pairs = {
        (Quantity.GAUGE_PRESSURE, "psi"): constants.psi,
        (Quantity.GAUGE_PRESSURE, "atm"): constants.atm,
        (Quantity.GAUGE_PRESSURE, "bar"): constants.bar,
        (Quantity.VOLUME, "L"): constants.liter,
        (Quantity.VOLUME, "US fl oz"): constants.fluid_ounce_US,
        (Quantity.VOLUME, "imp fl oz"): constants.fluid_ounce_imp,
        (Quantity.VOLUME, "US gal"): constants.gallon_US,
        (Quantity.VOLUME, "imp gal"): constants.gallon_imp,
        (Quantity.LENGTH, "in"): constants.inch,
        (Quantity.LENGTH, "ft"): constants.foot,
        (Quantity.DURATION, "h"): constants.hour,
        (Quantity.DURATION, "d"): constants.day,
        (Quantity.MASS, "oz"): constants.oz,
        (Quantity.MASS, "lb"): constants.lb,
        (Quantity.TEMPERATURE_DIFFERENCE, "°F"): constants.degree_Fahrenheit,
        (Quantity.TEMPERATURE, "°C"): 1.0,
    }
    for (quantity, symbol), value in pairs.items():
        assert scale(find_unit(symbol, quantity))[0] == pytest.approx(value, rel=1e-14), symbol
    assert scale(find_unit("°C", Quantity.TEMPERATURE))[1] == constants.zero_Celsius


def test_no_spelling_means_two_units_of_one_quantity() -> None:
    for quantity, units in UNITS.items():
        forms = [form for unit in units for form in unit.spellings]
        assert len(forms) == len(set(forms)), quantity
        assert set(BY_SPELLING[quantity]) == set(forms)


def test_a_prefix_never_changes_with_the_case_of_a_letter() -> None:
    for quantity in Quantity:
        for form in BY_SPELLING[quantity]:
            for other in BY_SPELLING[quantity]:
                if form.casefold() == other.casefold():
                    one, two = BY_SPELLING[quantity][form], BY_SPELLING[quantity][other]
                    assert math.isclose(scale(one)[0], scale(two)[0]), (form, other)
