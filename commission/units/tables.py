"""The units that may be typed for each quantity, their spellings, and exact factors for the usual ones.

A value in SI is ``number * factor + offset``. Units without a factor here are left to pint (`registry.scale`); a test
holds every one of them against pint and against published factors.
"""

import re
from itertools import product
from types import MappingProxyType

from commission.base.frozen import Frozen
from commission.base.quantity import Quantity


class Unit(Frozen):
    """One unit of one quantity."""

    symbol: str
    """How it is shown."""
    plain: str
    """How it is shown on a terminal without typographic signs; may be typed as well."""
    expression: str
    """What pint calls it."""
    factor: float | None = None
    """SI units in one of it; None where pint is asked."""
    offset: float = 0.0
    """SI value of its zero."""
    spellings: tuple[str, ...] = ()
    """Every form that may be typed, its symbol and plain form among them."""


def _unit(
    symbol: str,
    expression: str,
    factor: float | None,
    *more: str,
    plain: str | None = None,
    offset: float = 0.0,
) -> Unit:
    plain = plain or symbol
    spellings = tuple(dict.fromkeys((symbol, plain, *more)))
    return Unit(symbol=symbol, plain=plain, expression=expression, factor=factor, offset=offset, spellings=spellings)


POUND_KG = 0.45359237
"""Exact since 1959 [kg]."""
PSI_PA = POUND_KG * 9.80665 / 0.0254**2
"""Pounds-force a square inch: pound and inch are exact since 1959, standard gravity since 1901 [Pa]."""
US_GALLON_M3 = 231 * 0.0254**3
"""231 cubic inches: exact, NIST SP 811 (2008), appendix B.6 and B.9 [m3]."""
ZERO_CELSIUS_K = 273.15
"""Exact, SI Brochure 9th ed. 2.3.1 [K]."""
ZERO_FAHRENHEIT_K = 273.15 - 32 * 5 / 9
"""0 °F is 32 steps of 5/9 K below 0 °C [K]."""

_PRESSURE = (
    _unit("mbar", "millibar", 100.0, "millibar"),
    _unit("bar", "bar", 1e5),
    _unit("Pa", "pascal", 1.0, "pa"),
    _unit("hPa", "hectopascal", 100.0, "hpa"),
    _unit("kPa", "kilopascal", 1e3, "kpa"),
    _unit("MPa", "megapascal", 1e6),
    _unit("psi", "psi", PSI_PA, "PSI", "lbf/in2", "lbf/in²"),
    _unit("atm", "atmosphere", 101325.0),
    _unit("inHg", "inch_Hg", None, "inhg", "in Hg", "inch Hg", '"Hg'),
    _unit("mmHg", "millimeter_Hg", None, "mmhg", "mm Hg"),
    _unit("mmH2O", "millimeter_H2O", None, "mmh2o", "mm H2O", "mmH₂O", "mmWC"),
    _unit("cmH2O", "centimeter_H2O", None, "cmh2o", "cm H2O", "cmH₂O"),
    _unit("inH2O", "inch_H2O", None, "inh2o", "in H2O", "inH₂O", "inWC", '"H2O'),
)
_MARKED = {
    "bar": ("bar{}", "bar({})", "bar {}"),
    "mbar": ("mbar{}", "mbar({})", "mbar {}"),
    "kPa": ("kPa{}", "kPa({})", "kPa {}"),
    "psi": ("psi{}", "psi({})", "PSI{}"),
}
_TEMPERATURE = (
    _unit("°C", "degree_Celsius", 1.0, "C", "℃", "ºC", "deg C", "° C", plain="degC", offset=ZERO_CELSIUS_K),
    _unit(
        "°F",
        "degree_Fahrenheit",
        5 / 9,
        "F",
        "℉",
        "ºF",
        "deg F",
        "° F",
        plain="degF",
        offset=ZERO_FAHRENHEIT_K,
    ),
    _unit("K", "kelvin", 1.0, "kelvin"),
)
_TEMPERATURE_DIFFERENCE = (
    _unit("K", "kelvin", 1.0, "kelvin"),
    _unit("°C", "delta_degree_Celsius", 1.0, "C", "℃", "ºC", "deg C", plain="degC"),
    _unit("°F", "delta_degree_Fahrenheit", 5 / 9, "F", "℉", "ºF", "deg F", plain="degF"),
)
_VOLUME = (
    _unit("L", "liter", 1e-3, "l", "litre", "litres", "liter", "liters", "dm3", "dm³"),
    _unit("mL", "milliliter", 1e-6, "ml", "cc", "ccm"),
    _unit("cm³", "centimeter**3", 1e-6, "cm^3", plain="cm3"),
    _unit("mm³", "millimeter**3", 1e-9, "mm^3", plain="mm3"),
    _unit("m³", "meter**3", 1.0, "m^3", plain="m3"),
    _unit("in³", "inch**3", 0.0254**3, "cu in", "in^3", plain="in3"),
    _unit("US fl oz", "fluid_ounce", US_GALLON_M3 / 128, "us fl oz", "fl oz US", "US floz"),
    _unit("imp fl oz", "imperial_fluid_ounce", None, "imp. fl oz", "imperial fl oz", "UK fl oz"),
    _unit("US gal", "gallon", US_GALLON_M3, "us gal", "US gallon"),
    _unit("imp gal", "imperial_gallon", None, "imp. gal", "imperial gallon", "UK gal"),
)
_LENGTH = (
    _unit("mm", "millimeter", 1e-3),
    _unit("cm", "centimeter", 1e-2),
    _unit("m", "meter", 1.0),
    _unit("in", "inch", 0.0254, "inch", "inches", '"', "″"),
    _unit("ft", "foot", 0.3048),
)
_DURATION = (
    _unit("s", "second", 1.0, "sec", "second", "seconds"),
    _unit("min", "minute", 60.0, "mins", "minute", "minutes"),
    _unit("h", "hour", 3600.0, "hr", "hrs", "hour", "hours"),
    _unit("d", "day", 86400.0, "day", "days"),
)
_ENERGY = (
    _unit("J", "joule", 1.0),
    _unit("kJ", "kilojoule", 1e3),
    _unit("Wh", "watt_hour", 3600.0),
)
_MASS = (
    _unit("g", "gram", 1e-3, "gram", "grams"),
    _unit("kg", "kilogram", 1.0, "kilogram", "kilograms"),
    _unit("mg", "milligram", 1e-6),
    _unit("oz", "ounce", POUND_KG / 16, "ounce", "ounces"),
    _unit("lb", "pound", POUND_KG, "lbs", "pound", "pounds"),
)
_DENSITY = (
    _unit("g/mL", "gram/milliliter", 1e3, "g/ml", "g/cc", "g/ccm"),
    _unit("g/cm³", "gram/centimeter**3", 1e3, "g/cm^3", plain="g/cm3"),
    _unit("kg/L", "kilogram/liter", 1e3, "kg/l", "kg/dm3", "kg/dm³"),
    _unit("kg/m³", "kilogram/meter**3", 1.0, "kg/m^3", plain="kg/m3"),
)
_RATIO = (_unit("%", "percent", 0.01, "percent", "per cent"),)
_FLOW = (
    _unit("L/h", "liter/hour", 1e-3 / 3600, "l/h", "litre/h", "lph"),
    _unit("L/min", "liter/minute", 1e-3 / 60, "l/min", "lpm"),
    _unit("mL/s", "milliliter/second", 1e-6, "ml/s"),
    _unit("m³/h", "meter**3/hour", 1 / 3600, plain="m3/h"),
    _unit("US gal/min", "gallon/minute", US_GALLON_M3 / 60, "US gpm"),
)
_POWER = (
    _unit("W", "watt", 1.0, "watt", "watts"),
    _unit("kW", "kilowatt", 1e3),
)

_GAS = {"mbar": 100.0, "bar": 1e5, "Pa": 1.0, "hPa": 100.0, "kPa": 1e3, "atm": 101325.0}
_SPACE = {"L": ("L", "l"), "mL": ("mL", "ml", "cc", "ccm"), "cm³": ("cm³", "cm3"), "m³": ("m³", "m3")}
_PER = {"s": ("s", "sec"), "min": ("min",), "h": ("h", "hr")}
_PER_SECOND = re.compile(r"[ ·*⋅.]?(s|min|h)(?:\^?-1|⁻¹)$")
_JOINT = re.compile(r"[ ·*⋅.\-]")


def joined(text: str) -> str:
    """Return a compound unit without its signs of multiplication, which everyone writes another way.

    >>> {joined(t) for t in ("mbar·L/s", "mbar L/s", "mbar*L / s", "mbar L s^-1", "mbarL/s")}
    {'mbarL/s'}
    """
    return _JOINT.sub("", _PER_SECOND.sub(r"/\1", text))


def _leak_rates() -> tuple[Unit, ...]:
    """Return every pressure times volume over time; their other spellings are told by `joined`."""
    by_symbol = {u.symbol: u for u in (*_PRESSURE, *_VOLUME, *_DURATION)}
    made = []
    for gas, space, per in product(_GAS, _SPACE, _PER):
        pressure, volume, time = by_symbol[gas], by_symbol[space], by_symbol[per]
        assert pressure.factor
        assert volume.factor
        assert time.factor  # the usual units have no gaps
        made.append(
            _unit(
                f"{gas}·{space}/{per}",
                f"{pressure.expression}*{volume.expression}/{time.expression}",
                pressure.factor * volume.factor / time.factor,
                *(f"{gas}{v}/{t}" for v, t in product(_SPACE[space], _PER[per])),
                plain=f"{gas} {volume.plain}/{per}",
            )
        )
    return tuple(made)


def _marked(mark: str) -> tuple[Unit, ...]:
    """Return the pressures with the spellings that name their zero: bar(g) and psig, or bar(a) and psia."""
    word = {"g": " gauge", "a": " abs"}[mark]
    units = []
    for unit in _PRESSURE:
        extra = tuple(form.format(mark) for form in _MARKED.get(unit.symbol, ()))
        extra += (unit.symbol + word,) if extra else ()
        units.append(_unit(unit.symbol, unit.expression, unit.factor, *unit.spellings[1:], *extra))
    return tuple(units)


UNITS: MappingProxyType[Quantity, tuple[Unit, ...]] = MappingProxyType(
    {
        Quantity.GAUGE_PRESSURE: _marked("g"),
        Quantity.ABSOLUTE_PRESSURE: _marked("a"),
        Quantity.PRESSURE_DIFFERENCE: _PRESSURE,
        Quantity.TEMPERATURE: _TEMPERATURE,
        Quantity.TEMPERATURE_DIFFERENCE: _TEMPERATURE_DIFFERENCE,
        Quantity.VOLUME: _VOLUME,
        Quantity.LENGTH: _LENGTH,
        Quantity.DURATION: _DURATION,
        Quantity.LEAK_RATE: _leak_rates(),
        Quantity.ENERGY: _ENERGY,
        Quantity.MASS: _MASS,
        Quantity.DENSITY: _DENSITY,
        Quantity.RATIO: _RATIO,
        Quantity.FLOW: _FLOW,
        Quantity.POWER: _POWER,
    }
)
"""Allow-list: the units of each quantity, the one to suggest first at the front."""

BY_SPELLING: MappingProxyType[Quantity, dict[str, Unit]] = MappingProxyType(
    {quantity: {form: unit for unit in units for form in unit.spellings} for quantity, units in UNITS.items()}
)
"""The unit of each quantity that a spelling means; upper and lower case count."""
