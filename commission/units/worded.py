"""Fixed texts of the program with their amounts in the units that a person reads in."""

import re

from commission.base.quantity import Quantity
from commission.units.chosen import Chosen, unit_for, units_now
from commission.units.lookup import find_unit
from commission.units.registry import scale
from commission.units.show import significant

_TYPED = re.compile(
    r"\"[^\"]*\"|(?<![\w.,/·^-])([0-9]+(?:[.,][0-9]+)?)(?:( to | )([0-9]+(?:[.,][0-9]+)?))? "
    r"(mbar|hPa|bar|mL|L/h|L|°C|degC|K|mm|cm|m)(?![\w/·*³²])"
)
_MEANS = {
    "mbar": Quantity.GAUGE_PRESSURE,
    "bar": Quantity.GAUGE_PRESSURE,
    "hPa": Quantity.ABSOLUTE_PRESSURE,
    "mL": Quantity.VOLUME,
    "L": Quantity.VOLUME,
    "L/h": Quantity.FLOW,
    "°C": Quantity.TEMPERATURE,
    "degC": Quantity.TEMPERATURE,
    "K": Quantity.TEMPERATURE_DIFFERENCE,
    "mm": Quantity.LENGTH,
    "cm": Quantity.LENGTH,
    "m": Quantity.LENGTH,
}


def worded(text: str) -> str:
    """Return a text of the program with the amounts that stand in it in the person's units.

    For sentences and examples that are fixed; amounts that were measured or typed are worded by `show` and `say`. What
    stands in double quotes is a person's, and stays.

    Examples
    --------
    >>> worded("such as 250 mL")
    'such as 250 mL'
    """
    return text if units_now() == Chosen() else _TYPED.sub(_in_their_unit, text)


def _in_their_unit(found: re.Match[str]) -> str:
    first, joint, second, spelling = found.groups()
    if first is None:  # in quotes stands what a person typed
        return found[0]
    quantity = _MEANS[spelling]
    unit = unit_for(quantity)
    if unit is None:
        return found[0]
    old, new = find_unit(spelling, quantity), find_unit(unit, quantity)
    (factor, zero), (factor_new, zero_new) = scale(old), scale(new)

    def number(text: str) -> str:
        return significant((float(text.replace(",", ".")) * factor + zero - zero_new) / factor_new, 3)

    numbers = number(first) + (f"{joint}{number(second)}" if second else "")
    return f"{numbers} {new.plain if spelling.startswith('deg') else new.symbol}"
