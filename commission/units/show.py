"""From SI values to text with a unit, never localised; pint is not needed for the usual units."""

import math
import re
from collections.abc import Mapping

from commission.base.quantity import Phrase, Quantity
from commission.base.text import clean
from commission.units.chosen import unit_for
from commission.units.lookup import find_unit
from commission.units.registry import scale
from commission.units.tables import Unit

USUAL: dict[Quantity, str] = {
    Quantity.GAUGE_PRESSURE: "mbar",
    Quantity.ABSOLUTE_PRESSURE: "hPa",
    Quantity.PRESSURE_DIFFERENCE: "mbar",
    Quantity.TEMPERATURE: "°C",
    Quantity.TEMPERATURE_DIFFERENCE: "K",
    Quantity.VOLUME: "mL",
    Quantity.LENGTH: "mm",
    Quantity.DURATION: "s",
    Quantity.LEAK_RATE: "mbar·L/s",
    Quantity.ENERGY: "J",
    Quantity.MASS: "g",
    Quantity.DENSITY: "g/mL",
    Quantity.RATIO: "%",
    Quantity.FLOW: "L/h",
    Quantity.POWER: "W",
}
"""The unit in which each quantity is shown where nobody chose another."""

_LARGE: dict[Quantity, tuple[float, str]] = {
    Quantity.VOLUME: (1e-3, "L"),
    Quantity.LENGTH: (1.0, "m"),
    Quantity.ENERGY: (1000.0, "kJ"),
    Quantity.MASS: (10.0, "kg"),
}
"""From which SI value on a larger unit reads better."""

_DIGITS = {Quantity.LEAK_RATE: 3, Quantity.MASS: 5, Quantity.DENSITY: 5}
_DIGITS_OF_THEIRS = {Quantity.PRESSURE_DIFFERENCE: 3}
"""Digits of a quantity in another unit than the program's own [1]; our choice: no display divides a drop finer."""
_LEAST_DIGITS = 3
"""Digits that a value keeps in another unit [1]; our choice: 1 L is 33.8 US fl oz, not 34."""
_EIGHTHS = 8
"""A display or a dial steps by whole eighths of a power of ten, such as 1, 0.25 or 0.125 [1]."""
_SMALLEST_PLAIN = 1e-4
"""Below this a number is written with a power of ten [1]; our choice: four zeros behind the point are miscounted."""
_TENTHS_BELOW_ML = 9.95
"""Below this a volume in a sentence has tenths [mL]; our choice: a level and a syringe are read to 1 mL."""
_RAISE = str.maketrans("0123456789-", "⁰¹²³⁴⁵⁶⁷⁸⁹⁻")
_PLACE = re.compile(r"\{\{|\}\}|\{([0-9]{1,3})\}")


def show(
    si: float,
    quantity: Quantity,
    *,
    unit: str | None = None,
    own: str | None = None,
    digits: int | None = None,
    resolution: float | None = None,
) -> str:
    """Return a value as a person reads it.

    Parameters
    ----------
    si
        The value in the SI unit of its quantity.
    quantity
        What it is.
    unit
        Any spelling of the unit to show it in; None: the one that the person chose, else `own`.
    own
        The unit where the person chose none; None chooses by quantity and size.
    digits
        Significant digits, trailing zeros dropped; None: 4, 3 for leak rates, 5 for mass and density.
    resolution
        One step of the display it was read from [SI]; then as many decimals as the step has, zeros kept.

    Returns
    -------
    str
        Number, blank, unit; `parse` reads it back. "not known" for NaN, "unbounded" for infinity.

    Examples
    --------
    >>> show(49750.0, Quantity.GAUGE_PRESSURE), show(294.45, Quantity.TEMPERATURE)
    ('497.5 mbar', '21.3 °C')
    >>> show(4800.0, Quantity.DURATION), show(3.2e-4, Quantity.LEAK_RATE)
    ('1 h 20 min', '0.0032 mbar·L/s')
    >>> show(50000.0, Quantity.GAUGE_PRESSURE, unit="bar", resolution=100.0)
    '0.500 bar'
    """
    if math.isnan(si):
        return "not known"
    if math.isinf(si):
        return "unbounded"
    if quantity is Quantity.DURATION and unit is None and own is None and digits is None and resolution is None:
        return _duration(si)
    own = own or _usual(si, quantity)
    theirs = None if unit else unit_for(quantity)
    chosen = find_unit(unit or theirs or own, quantity)
    factor, zero = scale(chosen)
    value = (si - zero) / factor
    if math.isinf(value):
        return "unbounded"
    if resolution is not None:
        number = _fixed(value, _decimals(resolution / factor))
    elif theirs is not None:
        number = _as_fine(si, value, (find_unit(own, quantity), chosen), digits or _DIGITS_OF_THEIRS.get(quantity, 4))
    else:
        number = significant(value, digits or _DIGITS.get(quantity, 4))
    return f"{number} {chosen.symbol}"


def _as_fine(si: float, value: float, units: tuple[Unit, Unit], digits: int) -> str:
    """Return a value in the second unit with the decimals that the first would show of it, and at least three digits.

    So no digit appears that no display has: 500 mbar are 7.25 psi, and 21.3 °C are 70.3 °F.
    """
    (own, own_zero), (theirs, _) = scale(units[0]), scale(units[1])
    before = significant((si - own_zero) / own, digits)
    if "×" in before or value == 0:
        return significant(value, digits)
    step = 10.0 ** -len(before.partition(".")[2]) * own / theirs
    shown = f"{value:.{digits - 1}e}"
    exponent = int(shown.partition("e")[2])
    decimals = max(_decimals(step), min(digits, _LEAST_DIGITS) - 1 - exponent)
    text = _fixed(value, max(0, min(decimals, max(0, digits - 1 - exponent))))
    return text.rstrip("0").rstrip(".") if "." in text else text


def say(phrase: Phrase, *, usual: Mapping[Quantity, str] | None = None) -> str:
    """Return a sentence with its amounts in the reader's units.

    Parameters
    ----------
    usual
        The unit for each quantity where it is not the default.

    Returns
    -------
    str
        One line; a place without an amount stays as it is.

    Examples
    --------
    >>> from commission.base.quantity import Amount
    >>> say(Phrase("fell", "It fell by {0}.", (Amount(Quantity.PRESSURE_DIFFERENCE, 250.0),)))
    'It fell by 2.5 mbar.'
    >>> say(Phrase("left", "{0} or {1}.", (Amount(Quantity.VOLUME, 126.23e-6), Amount(Quantity.VOLUME, 2.823e-6))))
    '126 mL or 2.8 mL.'
    >>> from commission.base.text import braced
    >>> say(Phrase("noted", f"At {{0}}: {braced('loop {0}')}", (Amount(Quantity.DURATION, 60.0),)))
    'At 1 min: loop {0}'
    """

    def amount(place: re.Match[str]) -> str:
        if place[1] is None:
            return place[0][0]  # a brace that somebody typed, see `braced`
        number = int(place[1])
        if number >= len(phrase.amounts):
            return place[0]
        given = phrase.amounts[number]
        unit = None if unit_for(given.quantity) else (usual or {}).get(given.quantity)
        if given.quantity is Quantity.VOLUME and unit is None:
            return _millilitres(given.si)
        return show(given.si, given.quantity, unit=unit)

    return _PLACE.sub(amount, clean(phrase.template))


def _millilitres(m3: float) -> str:
    """Return a volume as sentences say it: whole millilitres, tenths below ten, two digits below one; no false ones."""
    size = abs(m3) * 1e6
    step = 1e-6 if size >= _TENTHS_BELOW_ML else 1e-7 if size >= 1 else None
    if step is None or not math.isfinite(m3):
        return show(m3, Quantity.VOLUME, digits=2)
    if unit_for(Quantity.VOLUME):
        return show(m3, Quantity.VOLUME, resolution=step)
    return show(round(m3 / step) * step, Quantity.VOLUME, unit="mL", digits=6)


def _usual(si: float, quantity: Quantity) -> str:
    large = _LARGE.get(quantity)
    return large[1] if large and abs(si) >= large[0] else USUAL[quantity]


def _decimals(step: float) -> int:
    """Count decimals after rounding to six digits, so that 10 Pa in mbar is 0.1 and not 0.1000000000001."""
    if not (math.isfinite(step) and step > 0):
        return 0
    mantissa, power = f"{step:.5e}".split("e")
    places = len(mantissa.rstrip("0").partition(".")[2])
    if not (float(mantissa) * _EIGHTHS).is_integer():  # a step of another unit: the first place that is as fine
        places = 0
    return min(12, max(0, places - int(power)))


def _fixed(value: float, decimals: int) -> str:
    text = f"{value:.{decimals}f}"
    return text.lstrip("-") if not text.strip("-0.") else text


def significant(value: float, digits: int) -> str:
    """Return a number with so many significant digits, without zeros at its end."""
    mantissa, power = f"{value:.{digits - 1}e}".split("e")
    exponent = int(power)
    if value != 0 and not (_SMALLEST_PLAIN <= abs(value) < 1e7):
        mantissa = mantissa.rstrip("0").rstrip(".") if "." in mantissa else mantissa
        return f"{mantissa}×10{str(exponent).translate(_RAISE)}"
    text = _fixed(value, max(0, digits - 1 - exponent))
    return text.rstrip("0").rstrip(".") if "." in text else text


def _duration(seconds: float) -> str:
    sign, left = ("-" if seconds < 0 else ""), abs(seconds)
    if left < 10:
        return f"{sign}{significant(left, 2)} s"
    if left < 59.5:
        return f"{sign}{left:.0f} s"
    if left < 3599.5:
        return sign + _two(round(left), 60, "min", "s")
    if left < 172_770:
        return sign + _two(round(left / 60), 60, "h", "min")
    return sign + _two(round(left / 3600), 24, "d", "h")


def _two(small_units: int, ratio: int, large: str, small: str) -> str:
    many, few = divmod(small_units, ratio)
    return f"{many} {large} {few} {small}" if few else f"{many} {large}"


def show_level(level: float) -> str:
    """Return the probability with which a bound holds, in percent.

    Parameters
    ----------
    level
        Probability, above 0 and below 1 [1].

    Returns
    -------
    str
        Cut, never rounded up: a bound is not called surer than it is.

    Raises
    ------
    ValueError
        If the level is not finite.

    Examples
    --------
    >>> show_level(0.95), show_level(0.9875), show_level(0.9999966)
    ('95 %', '98.75 %', '99.999 %')
    """
    return f"{math.floor(level * 1e5 + 1e-6) / 1e3:g} %"
