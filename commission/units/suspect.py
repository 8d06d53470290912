"""Numbers that are likely meant in another unit: they are asked about, never corrected."""

import math
from collections.abc import Iterator

from commission.base.errors import InputError
from commission.base.quantity import Measured, Quantity
from commission.base.text import clip
from commission.units.line import Field, Item
from commission.units.lookup import find_unit
from commission.units.number import split_number
from commission.units.parse import parse, to_si
from commission.units.registry import scale
from commission.units.show import show

_FACES: dict[Quantity, tuple[str, ...]] = {
    Quantity.GAUGE_PRESSURE: ("bar", "mbar", "kPa", "psi", "Pa", "MPa"),
    Quantity.ABSOLUTE_PRESSURE: ("hPa", "bar", "kPa", "psi", "Pa", "mmHg", "inHg"),
    Quantity.TEMPERATURE: ("degC", "degF", "K"),
}
"""Units on the faces of instruments, for the question which one is meant."""

_NEAR = {Quantity.GAUGE_PRESSURE: 1.25, Quantity.ABSOLUTE_PRESSURE: 1.15}
"""A reading within this factor of the one before needs no question."""
_JUMP_K = 10.0
"""A bench does not warm or cool by more between two readings [K]; our choice: more is a slip of the keys."""


def value_of(item: Item, field: Field, expected: float | None) -> Measured:
    """Return the value of an item for a field.

    Parameters
    ----------
    item
        The number and its unit, if one was typed.
    expected
        What was read last or what the test should show [SI]; None where nothing is known.

    Returns
    -------
    Measured
        The value, inside the range of the field.

    Raises
    ------
    InputError
        If it cannot be read or is out of range; one that ``asks`` where another unit or a slip of the decimal sign is
        likely and no unit was typed.
    """
    try:
        _ask_about_comma(item, field, expected)
        unit = find_unit(item.unit or field.unit, field.quantity, number=item.number)
        si = to_si(split_number(item.number)[0].value, unit)
        if not field.low <= si <= field.high and math.isfinite(si):
            raise _out_of_range(item, si, field)
        value = parse(item.text.replace(",", "."), field.quantity, usual=field.unit)
        if not item.unit and expected is not None:
            _ask_if_far(item, value.si, field, expected)
    except InputError as error:
        raise InputError(f"{field.label}: {error}", asks=error.asks) from None
    return Measured(quantity=field.quantity, si=value.si, typed=item.text)


def _ask_about_comma(item: Item, field: Field, expected: float | None) -> None:
    number, _ = split_number(item.number)
    if number.grouped is None:
        return
    unit = find_unit(item.unit or field.unit, field.quantity, number=item.number)
    point, grouped = to_si(number.value, unit), to_si(number.grouped, unit)
    if not field.low <= grouped <= field.high:
        return
    if expected is None or not _near(point, expected, field):
        raise InputError(
            f"{clip(item.text)} may be {number.value:.3f} or {number.grouped:.0f} {unit.plain}; type one of these",
            asks=True,
        )


def _near(si: float, expected: float, field: Field) -> bool:
    if field.quantity is Quantity.TEMPERATURE:
        return abs(si - expected) <= _JUMP_K
    if abs(expected) < 20 * field.resolution:
        return True
    factor = _NEAR.get(field.quantity, math.inf)
    return si * expected > 0 and 1 / factor <= si / expected <= factor


def _others(item: Item, field: Field) -> Iterator[tuple[str, float]]:
    """Yield the other units that the number could have, with its value in each [SI]."""
    number, _ = split_number(item.number)
    usual = scale(find_unit(field.unit, field.quantity))
    for name in _FACES.get(field.quantity, ()):
        unit = find_unit(name, field.quantity)
        if scale(unit) != usual:
            yield unit.plain, to_si(number.value, unit)


def _shown(si: float, field: Field, digits: int = 6) -> str:
    return show(si, field.quantity, unit=field.unit, digits=digits)


def _ask_if_far(item: Item, si: float, field: Field, expected: float) -> None:
    if _near(si, expected, field):
        return
    for unit, other in _others(item, field):
        if field.low <= other <= field.high and _near(other, expected, field):
            usual = find_unit(field.unit, field.quantity).plain
            one, two = f"{item.number} {usual}", f"{item.number} {unit} = {_shown(other, field, 4)}"
            raise InputError(f"{one}, or {two}? type the unit", asks=True)
    before = f"{_shown(expected, field)} was expected"
    confirm = f"type {item.number} {field.unit} if it is right"
    if field.quantity is Quantity.TEMPERATURE:
        raise InputError(f"{_shown(si, field)}, where {before}? {confirm}", asks=True)
    if si * expected > 0:
        power = round(math.log10(expected / si))
        meant = si * 10.0**power
        if power and abs(meant / expected - 1) < 0.05:
            raise InputError(f"{_shown(si, field)}, or {_shown(meant, field)}? {before}; {confirm}", asks=True)


def _out_of_range(item: Item, si: float, field: Field) -> InputError:
    limits = f"the instrument's range {_shown(field.low, field)} to {_shown(field.high, field)}"
    side = "above" if si > field.high else "below"
    said = f"{_shown(si, field)} is {side} {limits}"
    fitting = [] if item.unit else [(u, v) for u, v in _others(item, field) if field.low <= v <= field.high]
    if fitting:
        forms = " or ".join(f"{item.number} {u} = {_shown(v, field, 4)}" for u, v in fitting[:2])
        return InputError(f"{said}; is it {forms}? type the unit", asks=True)
    return InputError(f"{said}; check the number and its unit, or type - for what was not read")
