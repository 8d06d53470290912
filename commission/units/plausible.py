"""What a typed value can be at all: examples, bounds, spellings with two meanings, spellings that lack something."""

from types import MappingProxyType

from commission.base.frozen import Frozen
from commission.base.quantity import Quantity
from commission.units.chosen import unit_for

EXAMPLE: MappingProxyType[Quantity, str] = MappingProxyType(
    {
        Quantity.GAUGE_PRESSURE: "500 mbar",
        Quantity.ABSOLUTE_PRESSURE: "1013 hPa",
        Quantity.PRESSURE_DIFFERENCE: "0.1 mbar",
        Quantity.TEMPERATURE: "21.3 degC",
        Quantity.TEMPERATURE_DIFFERENCE: "0.5 K",
        Quantity.VOLUME: "1.2 L",
        Quantity.LENGTH: "10 mm",
        Quantity.DURATION: "90 min",
        Quantity.LEAK_RATE: "1e-2 mbar·L/s",
        Quantity.ENERGY: "60 J",
        Quantity.MASS: "653.4 g",
        Quantity.DENSITY: "1.035 g/mL",
        Quantity.RATIO: "5 %",
        Quantity.FLOW: "200 L/h",
        Quantity.POWER: "400 W",
    }
)
"""A value of each quantity as a person would type it."""

_IN_ANOTHER: MappingProxyType[Quantity, dict[str, str]] = MappingProxyType(
    {
        Quantity.GAUGE_PRESSURE: {"bar": "0.5 bar", "kPa": "50 kPa", "psi": "7.25 psi"},
        Quantity.ABSOLUTE_PRESSURE: {"bar": "1.013 bar", "kPa": "101.3 kPa", "psi": "14.69 psi"},
        Quantity.PRESSURE_DIFFERENCE: {"bar": "0.001 bar", "kPa": "0.1 kPa", "psi": "0.01 psi"},
        Quantity.TEMPERATURE: {"degF": "70.3 degF"},
        Quantity.TEMPERATURE_DIFFERENCE: {"degF": "1 degF"},
        Quantity.VOLUME: {"US fl oz": "40 US fl oz"},
        Quantity.LENGTH: {"cm": "1 cm", "in": "0.4 in"},
        Quantity.FLOW: {"L/min": "3 L/min", "US gal/min": "1 US gal/min"},
    }
)


def example(quantity: Quantity) -> str:
    """Return a value of a quantity as a person would type it, in the unit that they read in."""
    return _IN_ANOTHER.get(quantity, {}).get(unit_for(quantity) or "", EXAMPLE[quantity])


class Span(Frozen):
    """Values that a quantity can have at all on a workbench; anything else is a slip of the fingers."""

    low: float
    """Lowest [SI]."""
    high: float
    """Highest [SI]."""
    open_low: bool = False
    """Whether the lowest itself is out."""


SPAN: MappingProxyType[Quantity, Span] = MappingProxyType(
    {
        Quantity.GAUGE_PRESSURE: Span(low=-1.1e5, high=1e7),  # a perfect vacuum under the highest barometer; 100 bar
        Quantity.ABSOLUTE_PRESSURE: Span(low=0.0, high=1e7, open_low=True),
        Quantity.PRESSURE_DIFFERENCE: Span(low=-1e7, high=1e7),
        Quantity.TEMPERATURE: Span(low=0.0, high=1273.15, open_low=True),
        Quantity.TEMPERATURE_DIFFERENCE: Span(low=-1000.0, high=1000.0),
        Quantity.VOLUME: Span(low=1e-9, high=0.5),  # a microlitre to a bathtub
        Quantity.LENGTH: Span(low=1e-6, high=1000.0),
        Quantity.DURATION: Span(low=0.0, high=366 * 86400.0),
        Quantity.LEAK_RATE: Span(low=0.0, high=1e4, open_low=True),
        Quantity.ENERGY: Span(low=0.0, high=1e9),
        Quantity.MASS: Span(low=0.0, high=500.0),  # an empty scale; as much as the bathtub
        Quantity.DENSITY: Span(low=500.0, high=3000.0),  # liquids; 1.035 kg/m3 is a slip of the unit
        Quantity.RATIO: Span(low=-1e3, high=1e3),
        Quantity.FLOW: Span(low=0.0, high=0.01, open_low=True),  # 36 m3 an hour: more than any pump of a computer
        Quantity.POWER: Span(low=0.0, high=20e3),
    }
)
"""Bounds that every typed value must keep; wide, and the trade's own, not a limit of any stage."""

ASK: MappingProxyType[Quantity, dict[str, tuple[str, str]]] = MappingProxyType(
    {
        Quantity.VOLUME: {
            "fl oz": ("US fl oz", "imp fl oz"),
            "floz": ("US fl oz", "imp fl oz"),
            "fl. oz.": ("US fl oz", "imp fl oz"),
            "oz": ("US fl oz", "imp fl oz"),
            "gal": ("US gal", "imp gal"),
            "gallon": ("US gal", "imp gal"),
            "gallons": ("US gal", "imp gal"),
        },
    }
)
"""Spellings with two meanings, and the two."""

_STANDARD = (
    'is a flow "at standard conditions": 0 °C for some makers, 20 °C for others. '
    "Type pressure times volume over time, such as 1e-2 mbar·L/s"
)
_NO_PRESSURE = "is a volume flow without the pressure it is counted at; type it with its pressure, such as 1 atm·mL/min"
REFUSED: MappingProxyType[Quantity, dict[str, str]] = MappingProxyType(
    {
        Quantity.LEAK_RATE: dict.fromkeys(
            ("sccm", "SCCM", "sccs", "SCCS", "slpm", "SLPM", "slm", "stdcc/s", "stdcc/min", "stdcm3/s", "scc/s"),
            _STANDARD,
        )
        | dict.fromkeys(
            (f"{v}/{t}" for v in ("mL", "ml", "cc", "cm3", "L", "l") for t in ("s", "min", "h")), _NO_PRESSURE
        ),
    }
)
"""Spellings that are understood but lack something, and what to do."""
