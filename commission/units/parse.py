"""From typed text to a value in SI: one number, one unit, and nothing that has to be guessed."""

import math
import re

from commission.base.errors import InputError
from commission.base.quantity import K95, Measured, Quantity
from commission.base.text import clip
from commission.units.lookup import find_unit
from commission.units.number import Number, readable, split_number
from commission.units.plausible import SPAN, example
from commission.units.registry import scale
from commission.units.show import show
from commission.units.tables import BY_SPELLING, Unit

__all__ = ["parse", "parse_or_zero", "parse_with_uncertainty"]

_PLUS_MINUS = re.compile(r"±|\+/-|\+-")
_CLOCK = re.compile(r"([0-9]{1,4}):([0-5][0-9])(?::([0-5][0-9]))?")
_PIECE = re.compile(r"([0-9]+(?:[.,][0-9]+)?) ?([a-z]+) ?")
_SIZES = {Quantity.VOLUME, Quantity.LENGTH, Quantity.ABSOLUTE_PRESSURE, Quantity.LEAK_RATE, Quantity.DENSITY}
_SLACK = 1e-12  # a bound typed in another unit may round to the other side
_PLAIN = Unit(symbol="", plain="", expression="dimensionless", factor=1.0)


def parse(
    text: str,
    quantity: Quantity,
    *,
    usual: str | None = None,
    low: float | None = None,
    high: float | None = None,
) -> Measured:
    """Return what a person typed as a value in SI.

    Parameters
    ----------
    text
        A number and a unit, such as ``0,5 bar``; a duration may be in pieces, such as ``1 h 30 min``.
    quantity
        What is asked for.
    usual
        The unit that a bare number has; None: a unit must be typed.
    low, high
        Bounds that the value must keep [SI].

    Returns
    -------
    Measured
        The value, and the text exactly as typed.

    Raises
    ------
    InputError
        If it cannot be read; one line on what was understood, what is wrong and what to do. One that ``asks`` where it
        can be read in two ways.

    Examples
    --------
    >>> parse("0,5 bar", Quantity.GAUGE_PRESSURE).si
    50000.0
    >>> parse("1 h 30 min", Quantity.DURATION).si
    5400.0
    """
    stripped = readable(text)
    if _PLUS_MINUS.search(stripped):
        raise InputError(f"{clip(stripped)} has an uncertainty where none is asked for; type the value alone")
    pieces = _duration(stripped) if quantity is Quantity.DURATION else None
    if pieces is not None:
        _within(pieces, quantity, stripped, None, (low, high))
        return Measured(quantity=quantity, si=pieces, typed=text)
    number, rest = split_number(stripped)
    unit = _unit(stripped, rest, quantity, usual)
    si = to_si(number.value, unit)
    _ask_about_comma(number, unit, quantity, stripped, (low, high))
    _within(si, quantity, stripped, unit, (low, high))
    return Measured(quantity=quantity, si=si, typed=text)


def parse_or_zero(text: str, quantity: Quantity, *, bare_zero: bool = False) -> Measured:
    """Return a value that may be nothing at all, such as the top-up of a cycle that took nothing.

    Parameters
    ----------
    text
        As for `parse`, or a zero.
    quantity
        What is asked for; none whose zero depends on its unit.
    bare_zero
        Whether a zero needs no unit.

    Raises
    ------
    InputError
        As for `parse`; a unit of another quantity is refused on a zero as well.

    Examples
    --------
    >>> parse_or_zero("0 mL", Quantity.VOLUME).si
    0.0
    """
    stripped = readable(text)
    number, rest = split_number(stripped)
    if number.value != 0:
        return parse(text, quantity)
    if rest or not bare_zero:
        _unit(stripped, rest, quantity, None)
    return Measured(quantity=quantity, si=0.0, typed=text)


def parse_with_uncertainty(text: str, quantity: Quantity) -> tuple[Measured, float | None]:
    """Return a value and its standard uncertainty from text such as ``1.2 L ± 5 %``.

    Parameters
    ----------
    text
        ``1.2 L``, ``1.2 L ± 5 %``, ``1.2 L +- 0.05 L`` or ``1.2 ± 0.05 L``.
    quantity
        What is asked for.

    Returns
    -------
    tuple
        The value with the whole text as typed, and u [SI]; None where no uncertainty was typed.

    Raises
    ------
    InputError
        As for `parse`, and if the uncertainty is not above 0.

    Notes
    -----
    A ± means 95 %, typed as shown: u = half-width / 2. Source: JCGM 100:2008, 6.3.3 (a coverage factor of 2).

    Examples
    --------
    >>> value, u = parse_with_uncertainty("1.2 L ± 5 %", Quantity.VOLUME)
    >>> f"{value.si:.4f} {u:.3e}"
    '0.0012 3.000e-05'
    """
    stripped = readable(text)
    parts = _PLUS_MINUS.split(stripped)
    if len(parts) == 1:
        return parse(text, quantity), None
    if len(parts) > 2 or not parts[0].strip() or not parts[1].strip():
        raise InputError(f"{clip(stripped)} needs one value and one ±; type it like {example(quantity)} ± 5 %")
    before, after = parts[0].strip(), parts[1].strip()
    half, half_unit = split_number(after)
    relative = half_unit == "%" and quantity is not Quantity.RATIO
    if half_unit and not relative and not split_number(before)[1]:
        before = f"{before} {half_unit}"
    value = parse(before, quantity)
    if relative:
        half_si = abs(value.si) * half.value / 100
    else:
        if not half_unit and split_number(before)[1]:
            raise InputError(f"{clip(stripped)} has no unit after its ±; type it like {example(quantity)} ± 5 %")
        half_si = half.value * scale(_unit(after, half_unit, quantity, None))[0]
    _check_half(half_si, value, stripped)
    return Measured(quantity=quantity, si=value.si, typed=text), half_si / K95


def _check_half(half_si: float, value: Measured, text: str) -> None:
    if not (half_si > 0 and math.isfinite(half_si)):
        raise InputError(f"{clip(text)} has a ± that is not above 0; type a positive one, or leave it out")
    if value.quantity in _SIZES and half_si >= abs(value.si):
        raise InputError(f"{clip(text)} has an uncertainty as large as the value itself; check both")


def to_si(value: float, unit: Unit) -> float:
    """Return a number in a unit as its SI value."""
    factor, zero = scale(unit)
    return value * factor + zero


def bounds(quantity: Quantity, low: float | None, high: float | None) -> tuple[float, float]:
    """Return the narrower of the asked bounds and those that every value of the quantity keeps [SI]."""
    span = SPAN[quantity]
    return (span.low if low is None else max(low, span.low)), (span.high if high is None else min(high, span.high))


def _unit(text: str, spelling: str, quantity: Quantity, usual: str | None) -> Unit:
    if spelling:
        number = text[: -len(spelling)].strip() if text.endswith(spelling) else ""
        return find_unit(spelling, quantity, number=number)
    if usual is not None:
        return find_unit(usual, quantity)
    if quantity is Quantity.RATIO:
        return _PLAIN
    raise InputError(f"{clip(text)} has no unit; type it with one, like {example(quantity)}")


def _within(
    si: float,
    quantity: Quantity,
    text: str,
    unit: Unit | None,
    asked: tuple[float | None, float | None],
) -> None:
    if _fits(si, quantity, asked):
        return
    in_unit = unit.symbol if unit is not None and unit.symbol else None
    if not math.isfinite(si):
        raise InputError(f"{clip(text)} is too large to be a reading; check its digits")
    understood = show(si, quantity, unit=in_unit, digits=6)
    if quantity is Quantity.ABSOLUTE_PRESSURE and si <= 0:
        raise InputError(
            f"{clip(text)} is {understood} absolute, and nothing is at or below 0; is it a gauge pressure?"
        )
    if quantity is Quantity.TEMPERATURE and si <= 0:
        raise InputError(f"{clip(text)} is {understood}, below absolute zero; check the sign and the unit")
    low, high = (show(b, quantity, unit=in_unit, digits=6) for b in bounds(quantity, *asked))
    raise InputError(f"{clip(text)} is {understood}, outside {low} to {high}; check the number and its unit")


def _fits(si: float, quantity: Quantity, asked: tuple[float | None, float | None]) -> bool:
    low, high = bounds(quantity, *asked)
    if SPAN[quantity].open_low and low == SPAN[quantity].low and si <= low:
        return False
    return low - _SLACK * abs(low) <= si <= high + _SLACK * abs(high)


def _ask_about_comma(
    number: Number, unit: Unit, quantity: Quantity, text: str, asked: tuple[float | None, float | None]
) -> None:
    """Ask where ``1,200`` may be one and a fifth as well as twelve hundred, and both are possible."""
    if number.grouped is None:
        return
    if not (_fits(to_si(number.grouped, unit), quantity, asked) and _fits(to_si(number.value, unit), quantity, asked)):
        return
    shown = unit.plain and f" {unit.plain}"
    point, whole = f"{number.value:.3f}{shown}", f"{number.grouped:.0f}{shown}"
    raise InputError(f"{clip(text)} may be {point} or {whole}; type one of these", asks=True)


def _duration(text: str) -> float | None:
    """Return the seconds of ``1 h 30 min`` or ``1:30:00``, or None where the text is one number and one unit."""
    clock = _CLOCK.fullmatch(text)
    if clock:
        first, second, third = clock.groups()
        if third is None:
            one, two = f"{int(first)} h {int(second)} min", f"{int(first)} min {int(second)} s"
            raise InputError(f"{clip(text)} has two meanings: type {one} or {two}", asks=True)
        return int(first) * 3600.0 + int(second) * 60.0 + int(third)
    pieces = [(m[1], m[2]) for m in _PIECE.finditer(text)]
    if len(pieces) < 2 or _PIECE.sub("", text) or pieces[0][1] == "e":  # 1e7 s is one number
        return None
    return _sum_of(pieces, text)


def _sum_of(pieces: list[tuple[str, str]], text: str) -> float:
    total, larger = 0.0, math.inf
    for position, (number, spelling) in enumerate(pieces):
        unit = BY_SPELLING[Quantity.DURATION].get(spelling)
        if unit is None:
            raise InputError(
                f"{clip(text)} holds {clip(spelling)}, which is no unit of duration; units are s, min, h, d"
            )
        factor = scale(unit)[0]
        part = float(number.replace(",", "."))
        whole = position == len(pieces) - 1 or not re.search("[.,]", number)
        if factor >= larger or (larger < math.inf and part * factor >= larger) or not whole:
            raise InputError(f"{clip(text)} is not a duration in falling units; type it like 1 h 30 min")
        total, larger = total + part * factor, factor
    return total
